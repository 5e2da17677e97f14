"""Every figure of every screen: all of it in its frame, rows told apart, in the unit shown, the same numbers behind."""

import re
from dataclasses import replace

import pytest
from bokeh.models import BoxAnnotation, Span

from app.demo import demo_case
from app.phrases.lines import brief_names
from app.plots.pictures import how_to_measure
from tests.app.driver import Person, plain

YARD, INCH = 0.9144, 0.0254
FOLDS = {
    "carries": None,
    "gaps": None,
    "above": "Where shots land, from above",
    "sweep": "Other common lengths",
    "next": "What to hit next",
    "checked": "Measured against predicted",
}


@pytest.fixture(scope="module", params=["metric", "imperial"])
def opened(request):
    person = Person(demo_case())
    if request.param == "imperial":
        person.choose("Units", "in \u00b7 yd")
    for step in ("Lay out", "Play"):
        person.go(step)
        for fold in filter(None, FOLDS.values()):
            if person.sees(fold):
                person.open(fold)
        for n in range(sum(b.label == "Show the numbers" for b in person.seen() if hasattr(b, "label"))):
            person.open("Show the numbers", n)
    person.system = request.param
    return person


def at(person, name):
    person.go("Play" if name == "checked" else "Lay out")
    return person.figure(name), [d for d in person.drawn(name) if any(map(len, d.values()))]


def numbers(text):
    return [float(x) for x in re.findall(r"-?\d+(?:\.\d+)?", text.replace("\u2212", "-"))]


@pytest.mark.parametrize(
    ("name", "ends", "step"),
    [
        ("carries", ("lo", "hi"), 20),
        ("gaps", ("lo", "hi"), 5),
        ("checked", ("low", "high"), 10),
        ("next", ("share",), 5),
    ],
)
def test_what_is_drawn_fills_its_frame(opened, name, ends, step):
    """From end to end with less than one step of the axis to spare."""
    figure, drawn = at(opened, name)
    values = [v for d in drawn for end in (*ends, "measured") if end in d for v in d[end]]
    low, high = min(values), max(values)
    if name == "next":
        low = 0
    assert figure.x_range.start <= low and high <= figure.x_range.end
    assert low - figure.x_range.start <= step and figure.x_range.end - high <= step
    assert figure.x_range.start % step == 0 and figure.x_range.end % step == 0


@pytest.mark.parametrize("name", ["carries", "gaps", "checked", "next"])
def test_each_row_has_a_place_of_its_own(opened, name):
    figure, drawn = at(opened, name)
    rows = figure.y_range.factors
    assert len(set(rows)) == len(rows)
    for d in drawn:
        (key,) = d.keys() & {"y", "club", "what"} if "y" not in d else ("y",)
        for place in d[key]:
            assert (place[0] if isinstance(place, tuple) else place) in rows
    assert 30 <= figure.height / len(rows) <= 80  # px: large enough to tell apart
    offsets = [{y[1] for y in d["y"]} for d in drawn if "lo" in d]
    for several in offsets:
        assert len(several) == 1 and abs(next(iter(several))) < 0.4
    bars = {frozenset(x) for x in offsets}
    assert name not in ("carries", "gaps") or len(bars) == 2  # two layouts, not one over the other


def test_the_longest_stands_at_the_top(opened):
    figure, drawn = at(opened, "carries")
    assert (
        figure.y_range.factors[-1] == "5-iron" and figure.y_range.factors[0] == "Lob wedge*"
    )  # no wood was hit, nor the wedge with the sign
    means = dict(zip([y[0] for y in drawn[0]["y"]], drawn[0]["mean"], strict=True))
    assert [means[x] for x in figure.y_range.factors] == sorted(means.values())
    figure, _ = at(opened, "gaps")
    assert figure.y_range.factors[-1] == "5i \u2013 6i*" and figure.y_range.factors[0] == "SW* \u2013 LW*"
    figure, drawn = at(opened, "next")
    assert drawn[0]["share"] == sorted(drawn[0]["share"]) and figure.y_range.factors == drawn[0]["what"]
    figure, _ = at(opened, "checked")
    assert figure.y_range.factors == ["9-iron", "7-iron", "5-iron"]


@pytest.mark.parametrize(
    ("name", "x", "y"),
    [
        ("carries", "carry (m)", None),
        ("gaps", "gap (m)", None),
        ("checked", "carry (m)", None),
        ("next", "doubt removed (%)", None),
        ("sweep", "common length (cm)", "average distance to nearest club (m)"),
        ("above", "offline (m), layouts side by side", "carry (m)"),
    ],
)
def test_axes_are_named_in_the_unit_shown(opened, name, x, y):
    figure, _ = at(opened, name)

    def said(label):
        return label and (
            label if opened.system == "metric" else label.replace("(m)", "(yd)").replace("(cm)", "(in)")
        )

    assert figure.xaxis[0].axis_label == said(x) and figure.yaxis[0].axis_label == said(y)


def test_numbers_behind_the_carries_and_gaps_are_those_drawn(opened):
    for name, caption, key, apart in (
        ("carries", "Carry in", "mean", 0.51),
        ("gaps", "Gap in", "gap", 0.051),
    ):
        _, drawn = at(opened, name)
        rows = [row for row in opened.rows(caption)[1:] if "not known yet" not in row]
        for column, d in enumerate(
            [d for d in drawn if "lo" in d][::2], 1
        ):  # bars and marks share their data
            assert len(rows) == len(d["lo"])
            for row, mean, low, high in zip(rows, d[key], d["lo"], d["hi"], strict=True):
                assert numbers(row[column])[:3] == pytest.approx([mean, low, high], abs=apart)
                assert low <= mean <= high


def test_numbers_behind_what_was_checked_are_those_drawn(opened):
    _, drawn = at(opened, "checked")
    d = drawn[0]
    for row, *values in zip(
        opened.rows("Measured against predicted")[1:],
        *(d[k][::-1] for k in ("club", "measured", "mean", "low", "high")),
        strict=True,
    ):
        club, measured, mean, low, high = values
        assert row[0] == club and numbers(row[1]) == pytest.approx([measured], abs=0.51)
        assert numbers(row[2]) == pytest.approx([mean, low, high], abs=0.51)
        assert row[3] == ("inside" if low <= measured <= high else "outside")


def test_numbers_behind_the_next_balls_are_those_drawn(opened):
    _, drawn = at(opened, "next")
    rows = opened.rows("What to hit next;")
    assert (
        rows[0] == ["Club", "uncertainty removed", "chance of the right choice", "shots worth hitting"]
        and len(rows) <= 9
    )
    for row, what, share in zip(rows[1:], drawn[0]["what"][::-1], drawn[0]["share"][::-1], strict=True):
        assert row[0] == plain(what).replace("\u00a0", " ") or row[0] == what
        assert numbers(row[1])[0] == pytest.approx(share, abs=0.51)
        assert 50 <= numbers(row[2])[0] <= 100 and 0 <= numbers(row[3])[0] <= 30


def test_numbers_behind_the_common_lengths_are_those_drawn(opened):
    _, drawn = at(opened, "sweep")
    d = drawn[0]
    rows = opened.rows("Common lengths")[1:]
    lengths = {round(x, 2): i for i, x in enumerate(d["length"])}
    assert len(rows) >= 5
    for row in rows:
        i = min(lengths.values(), key=lambda i: abs(d["length"][i] - numbers(row[0])[0]))
        assert numbers(row[0])[0] == pytest.approx(d["length"][i], abs=0.06)
        assert numbers(row[1])[:3] == pytest.approx([d["mean"][i], d["low"][i], d["high"][i]], abs=0.051)
        assert row[4].endswith(" of 9")
    # common practice, no source: to keep the swing weight some 7 g for each half inch
    grams, inches = ([numbers(rows[n][c])[0] for n in (0, -1)] for c in (4, 0))
    per_half = (
        (grams[0] - grams[1]) / (inches[1] - inches[0]) / (2 if opened.system == "imperial" else 2 / 2.54)
    )
    assert per_half == pytest.approx(7, abs=2)
    hinges = [numbers(row[3])[0] for row in rows]
    carries = [numbers(row[2])[0] for row in rows]
    assert hinges == sorted(hinges, reverse=True)  # a longer club is stood taller to
    assert carries == sorted(carries)


def test_numbers_behind_the_view_from_above_are_those_drawn(opened):
    _, drawn = at(opened, "above")
    rows = opened.rows("Where nine shots in ten land")[1:]
    assert [row[0].rstrip("*") for row in rows[:3]] == ["5-iron", "6-iron", "7-iron"] and len(rows) == 9
    for column, d in enumerate(drawn, 1):
        for row, deep, wide in zip(rows, d["deep"], d["wide"], strict=True):
            assert numbers(row[column].replace("\u00b1", "")) == pytest.approx([deep / 2, wide / 2], abs=0.51)


def test_marks_and_bands_are_laid_into_the_figures(opened):
    gaps, _ = at(opened, "gaps")
    (band,) = [x for x in gaps.center if isinstance(x, BoxAnnotation)]
    (nought,) = [x for x in gaps.center if isinstance(x, Span)]
    assert not band.visible and nought.location == 0
    other = Person(demo_case()).go("Lay out").open("Also adjust: lofts, longest iron, gap")
    other.slide("Wanted gap, for all layouts", 12.0)
    figure = other.figure("gaps")
    (band,) = [x for x in figure.center if isinstance(x, BoxAnnotation)]
    assert band.visible and (band.left, band.right) == (9, 15)  # a quarter to each side
    other.press("Discard")
    assert not band.visible
    sweep, _ = at(opened, "sweep")
    assert len([x for x in sweep.center if isinstance(x, Span) and x.visible]) == 2


def test_no_layout_of_one_length_means_no_dashed_line():
    person = Person(replace(demo_case(), layouts=demo_case().layouts[:1])).go("Lay out")
    person.open("Other common lengths")
    assert len([x for x in person.figure("sweep").center if isinstance(x, Span) and x.visible]) == 1


def test_the_next_balls_of_a_set_laid_out_alone_are_for_the_one_it_is_weighed_with():
    person = Person(replace(demo_case(), layouts=demo_case().layouts[:1])).go("Lay out")
    person.open("What to hit next")
    for n in range(sum(b.label == "Show the numbers" for b in person.seen() if hasattr(b, "label"))):
        person.open("Show the numbers", n)
    assert "no two sets" not in person.text() and len(person.rows("What to hit next;")) == 9
    assert "doubt about which of the two sets is better" in person.text()


def test_without_irons_there_is_nothing_to_hit_next():
    bag = tuple(c for c in demo_case().bag if c.family not in ("iron", "wedge"))
    ids = {c.id for c in bag}
    shots = tuple(s for s in demo_case().shots if s.club in ids)
    person = Person(replace(demo_case(), bag=bag, shots=shots, layouts=demo_case().layouts[:1])).go("Lay out")
    person.open("What to hit next")
    assert "There are no two sets to choose between." in person.text()


# line drawings


def shapes(svg):
    lines = [
        tuple(map(float, x)) for x in re.findall(r'<line x1="(.*?)" y1="(.*?)" x2="(.*?)" y2="(.*?)"', svg)
    ]
    circles = [tuple(map(float, x)) for x in re.findall(r'<circle cx="(.*?)" cy="(.*?)" r="(.*?)"', svg)]
    width, height = map(float, re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg).groups())
    return lines, circles, width, height


def test_how_to_measure_is_drawn_within_its_frame_and_in_proportion():
    """A person is about as tall as the arms reach (Vitruvius); the wrist hangs at nearly half of the height."""
    lines, circles, width, height = shapes(how_to_measure())
    assert len(lines) > 15 and [r for *_, r in circles] == [14, 14]
    for x1, y1, x2, y2 in lines:
        assert min(x1, x2) >= 0 and max(x1, x2) <= width and min(y1, y2) >= 0 and max(y1, y2) <= height
    upright = sorted(
        {(x1, y1, y2) for x1, y1, x2, y2 in lines if x1 == x2 and abs(y2 - y1) > 75 and x1 not in (90, 310)}
    )
    (_, top, floor), (_, wrist, also) = upright
    assert floor == also == 208 and (floor - wrist) / (floor - top) == pytest.approx(0.46, abs=0.03)
    across = max(x2 - x1 for x1, y1, x2, y2 in lines if y1 == y2 and y1 < 200)
    assert across / (floor - top) == pytest.approx(0.95, abs=0.1)


def figures(person):
    svg = re.search(r'<svg[^>]*aria-label="Figures at address.*?</svg>', person.markup(), re.DOTALL)[0]
    return re.findall(r"<g.*?</g>", svg, re.DOTALL), svg


def test_players_at_address_stand_on_the_ground_within_the_frame():
    person = Person(demo_case()).go("Lay out").open("At address")
    groups, svg = figures(person)
    assert len(groups) == 2
    _, _, width, height = shapes(svg)
    for group in groups:
        lines, circles, *_ = shapes(svg.split("<g")[0] + group)
        assert lines[0][1] == lines[0][3] == 290  # the ground
        for x, y, r in circles:
            assert r <= x <= width and y - r >= 0 and y + r <= height
        heads = [c for c in circles if c[2] == 13]
        assert len(heads) == 3 and all(y < 160 for _, y, _ in heads)
        feet = [y for x1, y1, x2, y2 in lines for y in (y1, y2)]
        assert max(feet) <= 291
    # one length, one posture: the three heads of the single-length set are one
    single = {(x, y) for x, y, r in shapes(svg.split("<g")[0] + groups[1])[1] if r == 13}
    stepped = {(x, y) for x, y, r in shapes(svg.split("<g")[0] + groups[0])[1] if r == 13}
    assert len(single) == 1 and len(stepped) == 3
    rows = person.open("Show the numbers", 2).rows("Hip hinge, height of hands")
    assert [row[0] for row in rows[1:]] == ["5-iron", "9-iron", "Lob wedge"]
    stepped, single = ([numbers(row[column])[0] for row in rows[1:]] for column in (1, 2))
    assert len(set(single)) == 1 and stepped == sorted(stepped) and stepped[0] < single[0] < stepped[-1]


def test_a_left_handed_player_is_the_mirror_of_a_right_handed_one():
    right, left = (
        Person(replace(demo_case(), player=replace(demo_case().player, handed=hand)))
        .go("Lay out")
        .open("At address")
        for hand in ("right", "left")
    )
    for one, other in zip(figures(right)[0], figures(left)[0], strict=True):
        head = '<svg viewBox="0 0 1 1">'
        _, mine, *_ = shapes(head + one)
        _, theirs, *_ = shapes(head + other)
        middles = {round((a[0] + b[0]) / 2, 0) for a, b in zip(mine, theirs, strict=True)}
        assert len(middles) == 1 and [c[1:] for c in mine] == [c[1:] for c in theirs]


def test_columns_of_figures_without_a_layout_stay_empty():
    person = Person(demo_case()).go("Lay out").open("Add or remove a layout")
    person.choose("Kind of layout", "Two lengths").press("Add layout")
    assert sum("lo" in d and bool(d["lo"]) for d in person.drawn("carries")) == 6  # bars and marks of three
    person.press("Remove \u201cTwo lengths\u201d")
    assert sum("lo" in d and bool(d["lo"]) for d in person.drawn("carries")) == 4


@pytest.mark.parametrize(("name", "rows"), [("carries", 6), ("gaps", 6)])
def test_a_figure_is_as_high_as_its_rows_need(name, rows):
    """Fewer clubs make a lower figure, by what a row of marks takes."""
    case = demo_case()
    small = replace(case, bag=tuple(c for c in case.bag if c.id in ("5i", "7i", "9i", "pw")))
    full, few = (Person(x).go("Lay out").figure(name) for x in (case, small))
    fewer = len(full.y_range.factors) - len(few.y_range.factors)
    assert fewer >= rows - 1 and (full.height - few.height) / fewer == pytest.approx(38, abs=6)


def test_names_beside_the_picture_of_what_was_checked_leave_room_for_it():
    """After a build of clubs with long names, two of them twice over."""
    case = demo_case()
    names = {"pw": "Pitching wedge", "9i": "9-iron of the old set from home"}
    bag = tuple(replace(c, name=names.get(c.id, c.name)) for c in case.bag)
    was = tuple(
        replace(c, id=f"{c.id}-{n}", name=f"{c.name} (before)", became=c.id)
        for c in bag if c.id in ("pw", "9i", "7i") for n in "ab"
    )  # fmt: skip
    called = brief_names(replace(case, bag=(*bag, *was)))
    assert len({*called.values()}) == len(called) and max(map(len, called.values())) <= 16
    assert [called[i] for i in ("5i", "pw", "pw-a", "7i-a", "7i-b", "9i", "9i-b")] == [
        "5-iron", "Pitching wedge", "PW before", "7-iron before", "7-iron before 2", "9i", "9i before 2",
    ]  # fmt: skip
