"""Hit tells at once; what is not a carry counts; balls go to the right club; undo says what it undid, where it was done."""

import re
from dataclasses import replace

import panel as pn
import pytest

from app import bridge, sessions
from app.dates import iso_today
from app.demo import demo_case
from app.phrases.tally import tally
from app.players import new_case
from app.screens.play import card_of
from app.units import amount, unit
from engine.documents.case import Case, Conditions, Session, Shot, SwingSize
from engine.swing.launch_data import launch_means
from tests.app.driver import Person, bare, with_balls


@pytest.fixture
def person():
    return Person().go("Hit")


def type_in(person, *texts):
    bridge.receive("entered", {"numbers": [{"text": t, "mends": False} for t in texts]})


def hit(*carries, **conditions) -> Case:
    case = replace(new_case(), conditions=Conditions(**conditions))
    return hit_today(case, *(Shot("7i", c) for c in carries))


def hit_today(case: Case, *balls: Shot) -> Case:
    return sessions.add(case, balls) if balls else case


def test_the_tally_stands_beside_the_field_before_any_sum_is_done(person, monkeypatch):
    seen = []
    monkeypatch.setattr(
        type(person.state), "result", property(lambda self: seen.append(person.page.here.tally.object))
    )
    monkeypatch.setattr(type(person.page.here), "_stats", lambda self: self.state.result or "")
    type_in(person, "140", "142", "139")
    assert "3 balls, last 139\u00a0m, mean 140\u00a0m" in seen[0]


@pytest.mark.parametrize(
    ("case", "told"),
    [
        (hit(), "No balls yet"),
        (hit(140.0), "1 ball, last 140 m, mean 140 m"),
        (hit(140.0, 142.0, 138.0), "3 balls, last 138 m, mean 140 m"),
        (
            hit(140.0, 142.0, 138.0, range_ball=True),
            "3 balls, last 138 m, mean 140 m, about 151 m with a good ball",
        ),
        (hit(140.0, 142.0, 138.0, range_ball=True, indoors=True), "3 balls, last 138 m, mean 140 m"),
        (
            hit(129, 133, 126.5, 131, 96, 134.5, 128, 130),
            "8 balls, last 130 m, mean 130 m (all balls average 126.0 m; 1 mishit left out)",
        ),
        (
            hit_today(hit(140.0, 142.0), Shot("7i", 120.0, use=False)),
            "3 balls, last 120 m, mean 141 m (all balls average 134.0 m; 1 excluded)",
        ),
        (hit_today(hit(), Shot("7i", 140.0, balls=10.0)), "10 balls, last 140 m, mean 140 m"),
        (hit_today(hit(), Shot("7i", ball_speed_mps=50.0)), "1 ball, last without a carry"),
    ],
)
def test_the_tally_and_why_a_mean_is_not_the_average(case, told):
    assert tally(case, "7i", 0.0, "metric").replace("\u00a0", " ") == told


def test_only_balls_of_today_are_taken_back_and_called_the_last(person):
    old = tuple(Shot("7i", c, session="310401") for c in (140.0, 142.0))
    person.state.change(
        lambda case: replace(case, shots=old, sessions=(Session("310401", "2031-04-01"),)), "old balls"
    )
    assert person.find("Remove last ball").disabled
    assert "2 balls, mean 141 m" in person.text().replace("\u00a0", " ")
    type_in(person, "150")
    added = Shot("7i", 143.0)
    person.state.change(lambda case: sessions.add(case, (added,), ("2031-04-02",)), "imported")
    assert "4 balls, last 150 m" in person.text().replace("\u00a0", " ")
    person.press("Remove last ball")
    assert [s.carry_m for s in person.case.shots] == [140.0, 142.0, 143.0]
    assert person.find("Remove last ball").disabled


def test_a_robust_mean_that_differs_from_the_average_says_why():
    """Huber's mean weighs far balls down: five balls of 100 and three short ones that are no mishits."""
    case = hit(101.2, 100.2, 99.2, 100.2, 102.2, 90.2, 101.2, 91.2)
    said = tally(case, "7i", 0.0, "metric")
    mean = re.search(r"mean (\d+)", said)[1]
    plain = sum(s.carry_m for s in case.shots) / 8
    assert mean != f"{plain:.0f}" and f"all balls average {plain:.1f}" in said.replace("\u00a0", " ")
    assert "far from the rest count less" in said


def test_one_number_for_one_thing(person):
    """The mean beside the field, in the figures below it and in the result document, and the carry on the card."""
    person.state.add_player(demo_case())
    person.go("Hit")
    person.tap("7i")
    group = next(g for g in person.state.result.shots if g.club == "7i" and g.grip_down_m == 0)
    mean = amount(group.carry_m.mean, "carry", "metric").replace("\u00a0", " ")
    assert person.text().count(mean) >= 2 and f"mean {mean}" in person.text()
    person.go("Play")
    row = re.search(r"7-iron</th><td[^>]*><b>(\d+)</b>", person.markup())
    assert f"on the card {row[1]} m" in person.go("Hit").text()


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_one_number_for_each_club_from_hit_to_card_plot_and_file_with_mishits(system):
    """Tally, figures under it, cross on Lay out and result say one mean; the card has its own beside it."""
    case = demo_case()
    mishits = (Shot("7i", 96.0), Shot("9i", 71.0), Shot("9i", 68.0))
    person = Person(replace(case, shots=(*case.shots, *mishits)))
    person.state.set_units(system)
    shown = unit("carry", system)
    hit = sorted({s.club for s in case.shots if not s.grip_down_m})
    told, card_told = {}, {}
    for club in hit:
        person.go("Hit").tap(club)
        text = person.text().replace("\u00a0", " ")
        mean = re.search(
            rf"mean (\d+) {shown.name}( \(all balls average ([\d.]+) {shown.name}; [^)]*\))?", text
        )
        told[club] = mean[1]
        assert re.search(rf"mean carry (\d+) {shown.name}", text)[1] == mean[1]
        all_balls = [s.carry_m for s in person.case.shots if s.club == club and not s.grip_down_m]
        average = shown.shown(sum(all_balls) / len(all_balls))
        assert f"{average:.0f}" == mean[1] or mean[3] == f"{average:.1f}"
        card_told[club] = re.search(rf"on the card (\d+) {shown.name}", text)[1]
        assert ("The card has another figure than the mean" in text) is (card_told[club] != mean[1])
    assert "mishit" in person.go("Hit").tap("7i").text() and len(hit) >= 3
    groups = {g.club: g for g in person.state.result.shots if not g.grip_down_m}
    assert {club: f"{shown.shown(groups[club].carry_m.mean):.0f}" for club in hit} == told
    crosses = next(d for d in person.go("Lay out").drawn("carries") if d.keys() == {"y", "mean"})
    assert {name: f"{x:.0f}" for (name, _), x in zip(crosses["y"], crosses["mean"], strict=True)} == {
        person.case.club(club).name: mean for club, mean in told.items()
    }
    card = {row[0]: row[1] for row in person.go("Play").rows("Carry card")[1:]}
    assert {club: card[person.case.club(club).name] for club in hit} == card_told


def test_range_balls_are_asked_beside_the_club(person):
    type_in(person, "140", "142")
    person.tap("Range balls")
    assert person.case.conditions.range_ball and "with a good ball" in person.text()
    person.tap("Range balls")
    assert not person.case.conditions.range_ball and "good ball" not in person.text()


def test_launch_data_is_typed_beside_a_carry_or_without_one_and_counts(person):
    person.tap("Driver")
    person.press("Ball speed, launch")
    person.type("Ball speed", "230")
    person.type("Launch", "12.5")
    person.type("Spin", "2700")
    type_in(person, "")
    person.type("Ball speed", "226")
    person.type("Side", "-8")
    type_in(person, "205", "207")
    first, second, third = map(bare, person.case.shots)
    assert first == Shot(
        "dr", ball_speed_mps=pytest.approx(230 / 3.6, abs=1e-3), launch_deg=12.5, spin_rpm=2700.0
    )
    assert (second.carry_m, second.side_m, second.launch_deg) == (205.0, -8.0, None)
    assert third == Shot("dr", 207.0)  # what was measured is of one ball
    assert person.value("Ball speed") == ""
    said = person.text()
    assert (
        "ball speed 228 km/h (2 balls)" in said
        and "spin 2700 rpm (1 ball)" in said
        and "side 8 m left" in said
    )
    means = {m.quantity: m.mean for m in launch_means(person.case)}
    assert means["ball_speed"] == pytest.approx(228 / 3.6, rel=1e-3) and means["launch"] == 12.5
    person.go("Lay out")
    person.press("Driver")
    assert "ball speed 228 km/h" in person.text()


def test_a_wrong_launch_is_told_and_no_ball_is_added_until_it_is_mended(person):
    person.press("Ball speed, launch")
    person.type("Launch", "120")
    type_in(person, "150")
    assert person.case.shots == () and "correct Launch first" in person.page.here.entry.label
    person.type("Launch", "20")
    type_in(person, "150")
    assert [(s.carry_m, s.launch_deg) for s in person.case.shots] == [(150.0, 20.0)]


def test_balls_noted_under_the_wrong_club_are_moved_and_undo_names_it_where_it_was_done(person):
    type_in(person, "140", "118", "117", "141")
    person.press("Balls of the 7-iron")
    for ball in ("2: 118 m", "3: 117 m"):
        person.tap(ball)
    person.choose("Move to", "9-iron")
    person.press("Move")
    assert [s.club for s in person.case.shots] == ["7i", "9i", "9i", "7i"]
    assert "7-iron" in person.page.here.entry.label  # typing goes on with the club that was chosen
    assert person.find("Move", pn.widgets.Button, 0).disabled, "no ball is chosen any more"
    assert person.state.undo_what == "2 balls of the 7i moved to the 9-iron"
    person.go("Play")
    person.press("Undo")
    assert person.page.here.id == "hit" and {s.club for s in person.case.shots} == {"7i"}
    assert "Undone: 2 balls of the 7i moved to the 9-iron" in person.text()


def test_nothing_is_moved_before_a_ball_and_where_it_goes_are_chosen(person):
    person.state.change(
        lambda case: sessions.add(case, (Shot("7i", 139.0), Shot("7i", 141.0)), ("2031-04-01", "")), "balls"
    )
    person.open("Balls of the 7-iron")
    assert person.chosen("Move to") == "choose" and person.chosen("Move to session") == "choose"
    for button, choice, to in (
        ("Move", "Move to", "9-iron"),
        ("Move to this session", "Move to session", "1 Apr 2031: 1 ball"),
    ):
        move = next(w for w in person.seen(pn.widgets.Button) if w.label == button)
        assert move.disabled
        person.choose(choice, to)
        assert move.disabled, "no ball is chosen"
        person.tap("2: 141 m")
        assert not move.disabled
        person.choose(choice, "choose")
        assert move.disabled, "nowhere to go"
        person.tap("2: 141 m")
    person.choose("Move to", "9-iron").tap("8i")
    assert person.chosen("Move to") == "choose"


def test_digits_typed_for_one_club_do_not_follow_to_another(person):
    def keys(digits):
        for digit in digits:
            person.press(digit)

    person.tap("7i")
    keys("13")
    person.tap("8i")
    assert person.value("Carry") == "13"
    keys("128")
    assert person.value("Carry") == "128"
    person.tap("9i").press("Add ball")  # typed first, the club chosen then
    assert [(s.club, s.carry_m) for s in person.case.shots] == [("9i", 128.0)]
    keys("118")
    person.tap("8i")
    keys(".5")
    person.press("Add ball")
    assert [(s.club, s.carry_m) for s in person.case.shots][1:] == [("8i", 118.5)]
    keys("11")
    person.tap("8i")
    keys("9")
    assert person.value("Carry") == "119"


def test_undo_of_another_clubs_ball_shows_that_club(person):
    type_in(person, "140")
    person.tap("9i")
    person.press("Undo")
    assert "7-iron" in person.page.here.entry.label and "Undone: 7i 140" in person.text()
    type_in(person, "141")
    assert "Undone" not in person.text()


def dark(person, name):
    """The chip that the page shows as chosen among those with this one, told by the place it holds it by."""
    group, _ = person.chip(name)
    model = person.root.select_one({"labels": list(group.options)})
    return model.labels[model.active].replace("\u00a0", " ").partition(" \u00b7 ")[0]


def test_the_dark_chip_is_the_club_in_the_field_when_clubs_come_and_go():
    person = Person(demo_case())
    person.root = person.page.view.get_root()
    person.go("Hit").tap("9i")
    assert dark(person, "9i") == "9i" and "9-iron" in person.page.here.entry.label
    bag = person.case.bag
    for club in (replace(bag[1], id="x3", name="Old wood"), None, bag[2], bag[1]):
        if club is None:
            person.press("Undo")
        elif club in bag:
            person.state.change(
                lambda case, gone=club: replace(
                    case,
                    bag=tuple(c for c in case.bag if c != gone),
                    shots=tuple(s for s in case.shots if s.club != gone.id),
                ),
                "taken out",
            )
        else:
            person.state.change(lambda case, new=club: replace(case, bag=(new, *case.bag)), "put in")
        person.go("Measure").go("Hit")
        assert dark(person, "9i") == "9i" and "9-iron" in person.page.here.entry.label
    type_in(person, "139")
    assert bare(person.case.shots[-1]) == Shot("9i", 139.0) and dark(person, "9i") == "9i"


def test_several_balls_are_excluded_and_deleted_at_once(person):
    type_in(person, "140", "118", "117", "141")
    person.press("Balls of the 7-iron")
    person.tap("2: 118 m")
    person.tap("3: 117 m")
    person.press("Exclude these 2 shots")
    assert [s.use for s in person.case.shots] == [True, False, False, True]
    person.press("Include these 2 shots")
    assert all(s.use and s.keep == (n in (1, 2)) for n, s in enumerate(person.case.shots))
    person.press("Delete these 2 balls")
    assert [s.carry_m for s in person.case.shots] == [140.0, 141.0]
    assert list(person.chip("1: 140 m")[0].value) == []


def test_balls_gripped_down_do_not_go_to_the_putter(person):
    person.state.change(lambda c: with_balls(c, (Shot("7i", 130.0, grip_down_m=0.0254),)), "ball")
    person.press("Balls of the 7-iron")
    person.tap("1: 130 m")
    person.choose("Move to", "Putter")
    person.press("Move")
    assert person.case.shots[0].club == "7i"
    assert any("cannot go to a putter" in x["text"] for kind, x in bridge.outbox if kind == "refusal")


FOREIGN = {
    "metric": re.compile(r"\d\s(yd|in|ft|mph|ft/s|\u00b0F)\b"),
    "imperial": re.compile(r"\d\s(m|cm|mm|km/h|m/s|\u00b0C)\b"),
}
FOREIGN_LABEL = {
    "metric": re.compile(r"\((yd|in|ft|mph|\u00b0F)\)"),
    "imperial": re.compile(r"\((m|cm|mm|km/h|m/s|\u00b0C)\)"),
}


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_no_screen_speaks_in_the_other_units(system):
    person = Person()
    person.state.set_units(system)
    case = demo_case()
    person.state.add_player(replace(case, conditions=Conditions(range_ball=True, wind_mps=1.3)))
    found = []
    for step in ("Measure", "Hit", "Lay out", "Build", "Play"):
        person.go(step)
        for _ in range(2):
            for head in person.seen(pn.widgets.Button):
                if list(head.css_classes) == ["fold"]:
                    head.clicks += 1
        for pane in person.seen(pn.pane.HTML):
            text = re.sub(r"<[^>]+>", " ", str(pane.object)).replace("\u00a0", " ")
            found += [
                (step, text[max(m.start() - 30, 0) : m.end() + 10]) for m in FOREIGN[system].finditer(text)
            ]
        labels = [w.label for w in person.seen(pn.widgets.Widget) if w.label]
        found = [f for f in found if "green rated" not in f[1]]  # a rating, in feet everywhere
        found += [(step, label) for label in labels if FOREIGN_LABEL[system].search(label)]
    assert found == []


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_hit_shows_the_carry_and_range_of_the_card(system):
    """For every club and part swing: one carry with one range on both, and a note where the balls' mean is another."""
    hip = SwingSize("size1", "to the hip")
    shots = (*demo_case().shots, *(Shot("sw", carry_m=m, swing_size="size1") for m in (41.0, 44.0, 38.0)))
    person = Person(replace(demo_case(), swing_sizes=(hip,), shots=shots))
    person.state.set_units(system)
    card = card_of(person.go("Play").state)
    name = card.unit
    rows = {row[0]: row[1:] for row in (*card.rows, *card.parts)}
    swings = [(c, None) for c in ("5i", "7i", "9i")] + [("SW", "to the hip")]
    noted = 0
    for club, size in swings:
        person.go("Hit").tap(club)
        if size:
            person.tap(size)
        text = person.text().replace("\u00a0", " ")
        shown = re.search(rf"on the card (\d+) {name} 90 % range on the card (\d+) to (\d+) {name}", text)
        carry, ends = rows[f"SW, {size}" if size else person.case.club(club).name]
        low, high = ends.split("\u2013")
        mean = re.search(rf"mean carry (\d+) {name}", text)[1]
        assert shown.groups() == (carry.strip("*?"), low, high), (club, text)
        assert int(low) <= int(shown[1]) <= int(high)
        note = "The card has another figure than the mean of these balls because it"
        assert (note in text) is (mean != shown[1]), (club, text)
        noted += note in text
    assert noted >= 1


def on_two_days(*today):
    """Four clubs hit on two days, the second 3 % longer, and today a hybrid that was not hit before."""
    days = (Session("a", "2026-05-01"), Session("b", iso_today()))
    shots = [
        Shot(club, (carry + off) * gain, session=session)
        for session, gain in (("a", 1.0), ("b", 1.03))
        for club, carry in (("5i", 150.0), ("7i", 130.0), ("8i", 120.0), ("9i", 108.0))
        for off in (-1.0, 0.0, 1.0, 0.5, -0.5, 0.0)
    ]
    shots += [Shot("4h", carry, session="b") for carry in today]
    return replace(demo_case(), sessions=days, shots=tuple(shots))


def told_of_4h(case):
    return " ".join(Person(case).go("Hit").tap("4h").text().replace("\u00a0", " ").split())


def test_balls_of_a_long_day_are_told_as_hit_and_the_card_says_why_it_has_less():
    """The other clubs tell of the day; no ball of these counts less."""
    case = on_two_days(176.0, 174.0, 178.0)
    said = told_of_4h(case)
    assert "3 balls, last 178 m, mean 176 m" in said and "mean carry 176 m" in said
    card, low, high = map(
        int, re.search(r"on the card (\d+) m 90 % range on the card (\d+) to (\d+) m", said).groups()
    )
    assert low < card < high and card < 176
    assert "evens out good and bad days" in said
    assert re.search(r"Today all clubs flew about [12] % farther than usual\.", said), said
    assert "standard air" not in said.split("The card has")[1].split("usual")[0]
    older = replace(case, sessions=(case.sessions[0], replace(case.sessions[1], date="2026-05-09")))
    assert "That day all clubs flew about" in told_of_4h(older)


def test_a_card_above_all_balls_of_a_club_says_that_their_days_were_short():
    """The 4-hybrid is hit on two days on which the other clubs carried 5 % less than on a third one."""
    days = tuple(Session(id_, f"2026-05-0{n}") for n, id_ in enumerate("abc", 1))
    shots = [
        Shot(club, (carry + off) * gain, session=session)
        for session, gain in (("a", 0.95), ("b", 0.95), ("c", 1.0))
        for club, carry in (("5i", 160.0), ("7i", 140.0), ("9i", 118.0))
        for off in (-1.0, 0.0, 1.0, 0.5, -0.5, 0.0)
    ]
    hybrid = [Shot("4h", 166.0, session=one) for one in "aabb"]
    said = told_of_4h(replace(demo_case(), sessions=days, shots=(*shots, *hybrid)))
    assert int(re.search(r"on the card (\d+) m", said)[1]) > 166
    assert re.search(r"On the days of these balls all clubs flew about [123] % shorter than usual\.", said), (
        said
    )


def test_balls_in_another_air_are_told_as_hit_and_the_card_is_for_standard_air():
    case = on_two_days(176.0, 174.0, 178.0)
    cold = replace(case.conditions, temperature_c=2.0, wind_mps=4.0)
    case = replace(case, sessions=(case.sessions[0], replace(case.sessions[1], conditions=cold)))
    said = told_of_4h(case)
    assert "mean carry 176 m" in said and "is for standard air" in said
    assert int(re.search(r"on the card (\d+) m", said)[1]) > 180


def test_what_days_leave_open_is_not_asked_of_balls_of_today():
    """More balls of a day narrow only what scatter leaves."""
    for few in (3, 30):
        case = on_two_days(*[176.0, 174.0, 178.0] * (few // 3))
        said = Person(case).go("Hit").tap("4h").text().replace("\u00a0", " ")
        assert (
            "the mean will not be known to \u00b12 m, however many you hit today" in said
            and "on another day" in said
        )
        assert "alone it takes" not in said and "is known to" not in said
