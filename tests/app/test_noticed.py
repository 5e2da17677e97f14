"""Small things a person sees: sides, grips in inches, numbers typed over, names in tables."""

from dataclasses import replace

import panel as pn
import pytest

from app import bridge
from app.demo import demo_case
from app.phrases import phrases
from app.phrases.tally import launch_line
from app.players import new_case
from app.units import amount
from engine.documents.case import Shot
from tests.app.driver import CHOICES, FIELDS, Person, plain


@pytest.mark.parametrize(
    ("sides", "told"), [((0.7, 0.9), "1 m right"), ((-0.7, -0.9), "1 m left"), ((-9.0, 3.0), "3 m left")]
)
def test_the_side_is_told_by_its_sign(sides, told):
    case = replace(new_case(), shots=tuple(Shot("7i", 140.0, side_m=side) for side in sides))
    assert f"side {told} (2)" in launch_line(case, "7i", "metric").replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("system", "chip", "inches"),
    [("imperial", "\u00bd in", 0.5), ("imperial", "1 in", 1), ("imperial", "1\u00bd in", 1.5), ("imperial", "2 in", 2),
     ("imperial", "3 in", 3), ("metric", "2.5 cm", 2.5 / 2.54), ("metric", "3.8 cm", 3.8 / 2.54),
     ("metric", "5.1 cm", 5.1 / 2.54), ("metric", "7.6 cm", 7.6 / 2.54)],
)  # fmt: skip
def test_a_ball_is_gripped_down_by_what_its_chip_says(system, chip, inches):
    person = Person(new_case())
    person.state.set_units(system)
    person.go("Hit").tap(chip)
    bridge.receive("entered", {"numbers": [{"text": "140", "mends": False}]})
    assert person.case.shots[0].grip_down_m == pytest.approx(inches * 0.0254, abs=5e-4)


def test_a_number_that_was_refused_and_typed_over_is_said_until_it_is_read():
    person = Person(new_case()).go("Hit")
    bridge.receive(
        "entered", {"numbers": [{"text": "9999", "mends": False}, {"text": "140", "mends": False}]}
    )
    assert len(person.case.shots) == 1 and "Not added" in person.text() and "9999" in person.text()
    person.press("OK")
    assert "9999" not in person.text()
    bridge.receive("entered", {"numbers": [{"text": "8888", "mends": False}, {"text": "141", "mends": True}]})
    assert "Not added" not in person.text(), "it was mended, not typed over"


def enter(*numbers):
    bridge.receive("entered", {"numbers": [{"text": t, "mends": mends} for t, mends in numbers]})


def test_a_number_mended_after_another_club_was_chosen_is_not_said_to_be_missing():
    person = Person(new_case()).go("Hit")
    enter(("9999", False))
    person.tap("9i")
    assert "Not added" not in person.text()  # it stands in the field, to be mended
    enter(("99", True))
    assert "Not added" not in person.text() and len(person.case.shots) == 1


def test_of_many_refused_numbers_the_last_few_are_listed_with_their_clubs_below_the_keys():
    person = Person(new_case()).go("Hit")
    enter(*((f"999{n}", False) for n in range(4)))
    person.tap("9i")
    enter(("9994", False), ("120", False))
    said = person.text()
    assert "Not added (2 more before these)" in said and "5 not added: see below the keys" in said
    assert "9991" not in said and "7-iron: \u201c9993" in said and "9-iron: \u201c9994" in said
    order = person.seen()
    note = next(n for n, item in enumerate(order) if "more before these" in str(getattr(item, "object", "")))
    keys = [n for n, item in enumerate(order) if "key" in (getattr(item, "css_classes", None) or [])]
    assert note > max(keys)
    person.press("OK")
    assert "not added" not in person.text().lower()


@pytest.mark.parametrize(
    ("step", "folds", "labels"),
    [
        ("Measure", ("The bag", "One club at a time"), ("For", "Set", "Start from", "Head material")),
        ("Hit", ("Ball speed, launch, spin, side",), ("Each number is",)),
        ("Hit", ("Balls of the 7-iron",), ("Move to",)),
    ],
)
def test_more_options_than_a_row_of_buttons_holds_are_a_list(step, folds, labels):
    person = Person(demo_case()).go(step)
    for fold in folds:
        person.open(fold)
    for label in labels:
        assert isinstance(person.find(label, CHOICES), pn.widgets.Select), label


def test_what_a_number_stands_for_counts_as_so_many_balls():
    person = Person(new_case()).go("Hit").open("Ball speed, launch, spin, side")
    person.choose("Each number is", "the mean of 10 balls")
    enter(("140", False))
    assert person.case.shots[0].balls == 10


def test_the_field_is_marked_while_its_number_is_no_carry():
    person = Person(new_case()).go("Hit").type("Carry, 7-iron", "9999").press("Add ball")
    assert "bad" in person.find("Carry", FIELDS).css_classes and not person.case.shots
    person.type("Carry", "140").press("Add ball")
    assert "bad" not in person.find("Carry, 7-iron", FIELDS).css_classes and len(person.case.shots) == 1


@pytest.mark.parametrize(("name", "brief"), [("7-iron", True), ("7-iron of the old set", False)])
def test_a_short_label_of_the_field_is_kept_on_one_line(name, brief):
    """Twenty-four letters stand beside the chip for the balls on the smallest phones."""
    case = new_case()
    bag = tuple(replace(c, name=name) if c.id == "7i" else c for c in case.bag)
    person = Person(replace(case, bag=bag)).go("Hit")
    assert ("brief" in person.find(f"Carry, {name}", FIELDS).css_classes) is brief


def test_how_every_line_was_read_follows_the_text():
    person = Person(new_case()).go("Hit").open("Paste, or open a CSV file")
    person.type("Balls as text", "7i 150 151").press("Show how it is read").open("How every line was read")
    assert person.find("How every line was read").label == "How every line was read: 1 line"
    assert "7i 150 151" in person.text()
    person.type("Balls as text", "9i 120 121").press("Show how it is read")
    assert "9i 120 121" in person.text() and "7i 150 151" not in person.text()


def test_the_bag_is_a_table_of_names():
    person = Person(demo_case()).go("Measure").open("The bag: 14 clubs").open("One club at a time")
    rows = person.rows("Clubs in the bag")
    assert [row[0] for row in rows[1:]] == [club.name for club in person.case.bag]


def test_both_columns_of_the_glossary_are_words_and_wrap():
    person = Person(demo_case()).go("Methods and settings").open("Words of the trade")
    table = person.markup().partition("Words of the trade</caption>")[2].partition("</table>")[0]
    cells = table.count("<td") + table.count("<th scope")
    assert (
        cells >= 60
        and table.partition("<tbody")[2].count("class=words")
        == table.partition("<tbody")[2].count("</t") - table.partition("<tbody")[2].count("</tr") - 1
    )


@pytest.mark.parametrize(("system", "free"), [("metric", False), ("imperial", True)])
def test_the_keyboard_of_a_phone_has_what_a_figure_needs(system, free):
    """All keys for feet and inches and for a minus, digits for the rest."""
    person = Person(demo_case())
    person.state.set_units(system)
    person.go("Measure")
    assert ("free" in person.find("Height").css_classes) == free
    person.go("Hit").open("Ball speed, launch, spin, side")
    kinds = {
        name: "free" in person.find(name, FIELDS).css_classes for name in ("Ball speed", "Launch", "Side")
    }
    assert not kinds["Ball speed"] and kinds["Side"]


def test_what_is_sought_is_not_kept_when_the_page_is_left():
    person = Person(demo_case()).go("Players, share, files")
    kinds = {
        name: "passing" in person.find(name).css_classes
        for name in ("Search names, tags and notes", "Name of this player")
    }
    assert kinds == {"Search names, tags and notes": True, "Name of this player": False}


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_every_measure_is_told_when_its_fold_is_opened(system):
    person = Person(demo_case())
    person.state.set_units(system)
    person.go("Lay out")
    said = [plain(x) for x in phrases(person.state.result.differences, system)]
    assert said and said[0] not in person.text()
    person.open("Every measure")
    assert all(sentence in person.text() for sentence in said)
    person.state.change(lambda case: replace(case, layouts=case.layouts[:1]), "one set")
    assert said[0] not in person.text()


def test_a_bag_that_is_kept_is_said_to_be_kept():
    person = Person(demo_case()).go("Measure").open("The bag: 14 clubs").press("Keep this bag")
    person.type("Name of this bag", "Club house").press("Keep it")
    assert "\u201cClub house\u201d is kept on this device." in person.text()


def test_a_club_is_told_to_a_hundredth_of_an_inch_or_a_millimetre():
    assert amount(0.93, "club_length", "imperial").replace("\u00a0", " ") == "36.61 in"
    assert amount(0.9334, "club_length", "metric").replace("\u00a0", " ") == "93.3 cm"


@pytest.mark.parametrize(
    ("name", "short"), [("7-iron", "7i"), ("10-iron", "10i"), ("Pitching wedge", "PW"), ("Sand wedge", "SW")]
)
def test_clubs_are_called_by_short_names_on_the_axis_of_gaps(name, short):
    names = {"7i": name, "9i": "9-iron"}
    bag = tuple(replace(c, name=names[c.id]) for c in new_case().bag if c.id in names)
    person = Person(replace(new_case(), bag=bag)).go("Lay out")
    assert list(person.figure("gaps").y_range.factors) == [f"{short} \u2013 9i"]


def test_winds_go_round_by_eighths_of_a_turn_from_straight_ahead_by_the_right():
    """Where the wind comes from, seen from above and clockwise as on a compass, ahead being north."""
    person = Person(demo_case()).go("Play")
    offered = person.offered("Wind direction")
    turn = ("Headwind", "Headwind from the right", "From the right", "Tailwind from the right")
    turn += ("Tailwind", "Tailwind from the left", "From the left", "Headwind from the left")
    assert offered == {name: 45.0 * n for n, name in enumerate(turn)}


@pytest.mark.parametrize(("typed", "fine"), [("1", True), ("400", True), ("0", False), ("401", False)])
def test_distances_from_one_metre_to_four_hundred_are_asked_about(typed, fine):
    person = Person(demo_case()).go("Play").type("Distance to carry", typed)
    assert ("must be from 1 to 400" in person.find("Distance to carry", FIELDS).label) is not fine


def test_a_preview_goes_when_its_text_is_emptied():
    person = Person(new_case()).go("Hit").open("Paste, or open a CSV file")
    person.type("Balls as text", "7i 150 151").press("Show how it is read")
    assert person.sees("Add these balls")
    person.type("Balls as text", "")
    assert not person.sees("Add these balls") and person.case.shots == ()
