"""One mark for what nobody has hit yet, wherever a club's carry or its chances stand, with what it means beside it."""

import re
from dataclasses import replace

import pytest

from app.demo import demo_case
from app.plots.card import card_picture
from app.screens.play import card_of
from engine.documents.case import Layout, Shot, SwingSize
from engine.fitting.fitting import Fitting
from tests.app.driver import Person, plain, with_balls

LEGEND = "* Not hit yet: predicted from other balls."
HIP = SwingSize("size1", "to the hip")
CASE = replace(
    demo_case(),
    swing_sizes=(HIP,),
    shots=(*demo_case().shots, *(Shot("sw", carry_m=m, swing_size="size1") for m in (41.0, 42.0, 40.0))),
)
NAMES = {c.id: c.name for c in CASE.bag}
HIT = {NAMES[s.club] for s in CASE.shots if s.swing_size is None}  # by their balls, not by the engine


@pytest.fixture(scope="module")
def person():
    return Person(CASE)


def marked(cell):
    return "*" in cell


def test_some_clubs_are_hit_and_some_are_not():
    assert 3 <= len(HIT) <= 9 and "Lob wedge" not in HIT and "7-iron" in HIT


def test_the_card_and_its_picture_mark_every_club_that_nobody_hit(person):
    rows = person.go("Play").rows("Carry card")[1:]
    numbers = [row for row in rows if row[1] != "not known yet"]
    assert {row[0] for row in numbers if marked(row[1])} == {row[0] for row in numbers} - HIT
    card = person.markup().partition("Carry card")[2].partition("Wedges by swing")[0]
    assert LEGEND in plain(card)
    drawn = [plain(x) for x in re.findall(r"<text.*?</text>", card_picture(card_of(person.state)))]
    for row in rows:
        assert drawn[drawn.index(row[0]) + 1] == row[1]
    assert LEGEND in " ".join(drawn)
    parts = {name: drawn[n + 1] for n, name in enumerate(drawn) if name.endswith(", to the hip")}
    assert {name for name, carry in parts.items() if not marked(carry)} == {"SW, to the hip"}


def test_the_wedge_table_marks_by_the_same_rule(person):
    _, *rows = person.go("Play").rows("Wedges by swing")
    full = {"PW": "Pitching wedge", "GW": "Gap wedge", "SW": "Sand wedge", "LW": "Lob wedge"}
    for club, carry, hip in rows:
        assert marked(carry) is (full[club] not in HIT) and marked(hip) is (club != "SW")


@pytest.mark.parametrize("going", ["A distance", "A green"])
def test_headline_and_chances_mark_by_the_same_rule(person, going):
    person.go("Play").tap("A distance").type("Distance to carry", "129").tap(going)
    label = "Distance to carry" if going == "A distance" else "Distance to the flag"
    seen = set()
    for distance in (42, 56, 70, 80, 98, 120, 129, 140, 165):
        person.type(label, str(distance))
        rows = [row[0] for row in person.rows("Chances of one")[1:]]
        for name in rows:
            club, _, swing = name.rstrip("*").partition(", ")
            assert marked(name) is (club != "Sand wedge" if swing else club not in HIT), (distance, name)
        big = plain(re.search(r'<div class="big">(.*?)</div>', person.markup())[1])
        assert big == rows[0] or big.endswith(": not known yet")
        below = person.markup().partition("Chances of one")[0]
        assert (LEGEND in below) is any(map(marked, rows))
        assert "not hit yet)" not in person.text()
        seen |= {marked(big)}
    assert seen == {True, False}
    person.type(label, "129").tap("A distance")


def test_a_distance_out_of_reach_names_the_nearest_club_with_the_mark(person):
    person.go("Play").type("Distance to carry", "10")
    assert re.search(r"the [A-Z][a-z ,]+\*, \d+\sm, comes nearest", person.text())
    assert LEGEND in person.markup().partition("Set on the card")[0].partition("comes nearest")[2]


def test_tables_and_lines_of_lay_out_mark_by_the_same_rule(person):
    person.go("Lay out")
    assert re.search(r"Lob wedge \d+\sm\*", person.text())
    folds = (
        "Where shots land, from above",
        "Flights from the side",
        "Where the irons stop",
        "Fairway woods and hybrids",
        "Which clubs to carry",
    )
    for fold in folds:
        person.open(fold)
    for n in range(sum(b.label == "Show the numbers" for b in person.seen() if hasattr(b, "label"))):
        person.open("Show the numbers", n)
    for row in person.rows("Gap in m")[1:]:
        for name in row[0].split(" to "):
            assert marked(name) is (name.rstrip("*") not in HIT), row
    looked = 0
    for caption in (
        "Carry in m",
        "Where nine shots in ten land",
        "Carry, apex",
        "Each iron",
        "The bag to carry",
    ):
        for row in person.rows(caption)[1:]:
            name = row[0].rstrip("*")
            if name in NAMES.values() and "not known yet" not in row:
                assert any(map(marked, row)) is (name not in HIT), (caption, row)
                looked += 1
    assert looked > 25
    assert person.text().count(LEGEND) >= 6


def test_where_nobody_hit_a_full_swing_no_club_is_marked_and_a_line_says_it_of_all():
    none = Person(replace(CASE, shots=tuple(s for s in CASE.shots if s.swing_size))).go("Play")
    rows = none.rows("Carry card")[1:]
    assert not any(marked(row[1]) for row in rows)
    assert "Nobody has hit a full swing yet: full swings are estimates" in none.text()
    assert "Nobody has hit a ball yet" not in none.text()
    cells = {row[0]: row[1:] for row in none.rows("Wedges by swing")[1:]}
    assert not marked(cells["PW"][0]) and marked(cells["PW"][1]) and not marked(cells["SW"][1])
    assert LEGEND in none.text()


def test_a_first_ball_takes_the_mark_away_and_leaving_it_out_brings_it_back():

    person = Person(demo_case()).go("Play")

    def carry():
        return {row[0]: row[1] for row in person.rows("Carry card")[1:]}["Lob wedge"]

    assert marked(carry())
    person.state.change(lambda case: with_balls(case, (Shot("lw", carry_m=70.0),)), "hit")
    assert not marked(carry())
    person.press("Undo")
    assert marked(carry())


def test_a_club_is_one_that_was_hit_where_its_carry_rests_on_its_balls():
    """Only the lie of the 7-iron is bent; the wedge nobody had hit is hit for another set, then with a built one."""
    case = replace(demo_case(), wants=replace(demo_case().wants, layout="now"))
    seven = replace(case.club("7i"), id="7i-2", lie_deg=case.club("7i").lie_deg + 1)
    bag = (*(replace(c, became="7i-2") if c.id == "7i" else c for c in case.bag), seven)
    case = replace(case, bag=bag, retest=(Shot("lw", carry_m=70.0),))
    fitting = Fitting(case)
    assert fitting.was_hit("7i-2") and not fitting.was_hit("lw") and not fitting.was_hit("8i")
    built = replace(case, layouts=(Layout("built", "present"),), wants=replace(case.wants, layout="built"))
    assert Fitting(built.hit_as_built()).was_hit("lw")


def test_a_hybrid_worked_on_since_it_was_hit_need_not_be_hit_first():
    """Its balls tell enough; but its carry has the mark, since it was not hit as it is now."""
    case = replace(demo_case(), wants=replace(demo_case().wants, layout="now"))
    hybrid = case.club("4h")
    shorter = replace(hybrid, id="4h-2", length_m=hybrid.length_m - 0.0127)
    bag = (*(replace(c, became="4h-2") if c.id == "4h" else c for c in case.bag), shorter)
    never = Fitting(replace(case, bag=bag))
    hit = Fitting(replace(case, bag=bag, shots=(*case.shots, Shot("4h", carry_m=185.0))))
    assert "4h-2" in never.hit_first and not never.was_hit("4h-2")
    assert "4h-2" not in hit.hit_first and not hit.was_hit("4h-2")  # half an inch is told of it
