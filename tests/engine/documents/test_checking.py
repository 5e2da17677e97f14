"""A case changed in memory is held against the very rules by which its document would be read."""

import math
from dataclasses import fields, is_dataclass, replace

import pytest

from app.demo import demo_case
from engine.documents import fields as rules
from engine.documents.case import (
    BallSpin,
    Case,
    CaseError,
    Conditions,
    Faced,
    Layout,
    LayoutClub,
    Session,
    Shot,
    SwingSize,
    WantedCarry,
)
from engine.documents.checking import checked
from engine.documents.reading import read_case

CASE = replace(
    demo_case(),
    player=replace(demo_case().player, tags=("junior",)),
    shots=(
        *demo_case().shots[:3],
        Shot("7i", 140.0, side_m=2.0, session="may"),
        Shot("pw", 40.0, swing_size="hip", id="b5"),
    ),
    sessions=(Session("may", "2031-05-03", conditions=Conditions(8.0)), Session("june")),
    swing_sizes=(SwingSize("hip", "to the hip"), SwingSize("low", "low one", ("7i",))),
    retest=(Shot("7i", 141.0),),
    layouts=(Layout("now", "present"), Layout("own", "own", clubs=(LayoutClub("7i", 0.94),))),
    wants=replace(
        demo_case().wants,
        carries=(WantedCarry("7i", 140.0),),
        demand=(Faced(100.0),),
        ball=BallSpin(0.9),
        air=Conditions(),
    ),
)
WRONG = (None, -1e9, 1e9, math.nan, True, "", "x" * 500, "\ud800", 7, 0.5, [], "7i")


def places(part, way=()):
    """The way to every field of a case that holds a value: names and places in tuples."""
    for f in fields(part):
        value = getattr(part, f.name)
        if f.name == "extra":
            continue
        if is_dataclass(value):
            yield from places(value, (*way, f.name))
        elif isinstance(value, tuple) and all(map(is_dataclass, value)):
            for number in {0, len(value) - 1} if value else ():
                yield from places(value[number], (*way, f.name, number))
        else:
            yield (*way, f.name)


def put(part, way, value):
    if not way:
        return value
    name, *rest = way
    if isinstance(part, tuple):
        return (*part[:name], put(part[name], rest, value), *part[name + 1 :])
    return replace(part, **{name: put(getattr(part, name), rest, value)})


def said(make):
    try:
        return make()
    except CaseError as error:
        return str(error)


ALL = list(places(CASE))


@pytest.mark.parametrize("way", ALL, ids=lambda way: ".".join(map(str, way)))
def test_every_field_is_held_against_its_rule_in_the_words_of_the_reader(way):
    for value in WRONG:
        case = put(CASE, way, value)
        wanted = said(lambda case=case: read_case(case.to_doc()))
        assert said(lambda case=case: checked(case)) == wanted, value
        assert said(lambda case=case: checked(case, known=CASE)) == wanted, value


def test_the_fields_looked_at_are_all_there_are():
    tables = (
        "PLAYER",
        "SWING",
        "CONDITIONS",
        "BALL",
        "WANTED_CARRY",
        "FACED",
        "LAYOUT_CLUB",
        "SWING_SIZE",
        "SESSION",
    )
    names = {way[-1] for way in ALL}
    for table in tables:
        assert set(getattr(rules, table)) <= names
    assert checked(CASE) == CASE == read_case(CASE.to_doc())


@pytest.mark.parametrize(
    ("name", "entry"),
    [
        ("bag", CASE.bag[0]),
        ("layouts", CASE.layouts[0]),
        ("shots", CASE.shots[0]),
        ("retest", CASE.retest[0]),
        ("swing_sizes", CASE.swing_sizes[0]),
    ],
)
def test_lists_are_held_to_their_length_and_to_ids_that_differ(name, entry):
    for case in (
        replace(CASE, **{name: (*getattr(CASE, name), entry)}),
        replace(CASE, **{name: (entry,) * (rules.MOST[name] + 1)}),
    ):
        wanted = said(lambda case=case: read_case(case.to_doc()))
        assert said(lambda case=case: checked(case, known=CASE)) == wanted


def test_a_ball_needs_its_club_even_where_only_the_bag_changed():
    shots = (*CASE.shots, Shot("7i", 139.0, grip_down_m=0.02))
    for bag in (
        tuple(c for c in CASE.bag if c.id != "7i"),
        tuple(replace(c, family="putter") if c.id == "7i" else c for c in CASE.bag),
    ):
        case = replace(CASE, bag=bag, shots=shots)
        wanted = said(lambda case=case: read_case(case.to_doc()))
        assert isinstance(wanted, str)
        before = replace(CASE, shots=shots)
        assert said(lambda case=case, before=before: checked(case, known=before)) == wanted


def test_a_part_swing_that_goes_takes_its_balls_along_and_a_club_has_no_more_than_three():
    three = tuple(SwingSize(i, f"to the {i}") for i in ("hip", "chest", "shoulder"))
    for sizes in (
        CASE.swing_sizes[1:],
        (*three, SwingSize("low", "low one")),
        (*three, SwingSize("low", "low one", ("pw",))),
        (SwingSize("low", "low one", ("pw",)), *three),
    ):
        case = replace(CASE, swing_sizes=sizes)
        wanted = said(lambda case=case: read_case(case.to_doc()))
        assert isinstance(wanted, str)
        assert said(lambda case=case: checked(case, known=CASE)) == wanted
    of_one_club = tuple(
        SwingSize(f"{i}{c}", f"to the {i}", (c,)) for c in ("pw", "9i") for i in ("hip", "rib", "top")
    )
    case = replace(CASE, swing_sizes=of_one_club, shots=CASE.shots[:3])
    assert checked(case) == case == read_case(case.to_doc())


def test_what_was_checked_before_is_handed_on_as_it_is():
    hit = replace(CASE, shots=(*CASE.shots, Shot("9i", 120)))
    after = checked(hit, known=CASE)
    assert after.bag is CASE.bag and all(a is b for a, b in zip(after.shots, CASE.shots, strict=False))
    assert isinstance(after.shots[-1].carry_m, float)
    assert checked(CASE, known=CASE).shots is CASE.shots


def test_unknown_keys_go_with_the_entry_that_had_them():
    doc = CASE.to_doc()
    doc["bag"][2]["colour"] = "red"
    case = read_case(doc)
    gone = checked(replace(case, bag=tuple(c for c in case.bag if c.id != doc["bag"][2]["id"])), known=case)
    assert gone.extra == {} and case.extra
    assert isinstance(gone, Case)
