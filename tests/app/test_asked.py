"""A club asked for by its carry: found, told, and put in the bag as it was asked for."""

import pytest

from app.demo import demo_case
from engine.bag.asked import LOFTS, club_that_carries
from engine.documents.case import Case, Player, Shot
from engine.fitting.fitting import Fitting
from engine.physics.air import REFERENCE, air_of
from engine.units import INCH
from engine.workshop.norms import norm_bag
from tests.app.driver import Person

FAST = Case(
    Player(sex="male"),
    bag=norm_bag("male"),
    shots=tuple(
        Shot(i, c + d) for i, c in (("7i", 168.0), ("9i", 142.0), ("4h", 215.0)) for d in (-3, 0, 1, 2)
    ),
)


def asked(**what):
    return club_that_carries(Fitting(FAST, 128).posterior, air_of(REFERENCE), **what)


def test_a_hybrid_that_carries_210_to_230_m_tipped_2_in():
    """A player of 168 m with the 7-iron hits an 18 to 22 deg hybrid that far (circulated averages)."""
    found = asked(family="hybrid", low_m=210.0, high_m=230.0, tip_trim_m=2 * INCH)
    assert found.club.tip_trim_m == 2 * INCH and found.tip_flexes == pytest.approx(1.0)  # half a flex an inch
    assert found.reached and found.carry.mean == pytest.approx(220, abs=2.5)
    assert 17 <= found.club.loft_deg <= 24 and 0.97 <= found.club.length_m <= 1.04
    assert 0.5 < found.chance_within < 1


def test_what_no_loft_carries_is_said():
    found = asked(family="wedge", low_m=240.0, high_m=250.0)
    assert not found.reached and found.club.loft_deg == LOFTS["wedge"][0]


@pytest.mark.parametrize(
    "what", [{"family": "putter", "low_m": 5, "high_m": 9}, {"family": "iron", "low_m": 9, "high_m": 5}]
)
def test_nonsense_is_refused(what):
    with pytest.raises(ValueError, match="must be"):
        asked(**what)


def test_it_is_found_on_the_screen_and_put_in_the_bag():
    person = Person(demo_case()).go("Measure").open("The bag: 14 clubs").open("Ask for a club by its carry")
    person.press("Find it")
    assert "Type the range it should carry" in person.text() and not person.sees("Put it in the bag")
    person.type("Carries at least", "150").type("Carries at most", "165").type(
        "Tip trim of its shaft", "51"
    ).press("Find it")
    assert "Look for: Hybrid" in person.text() and "flex stiffer" in person.text()
    person.press("Put it in the bag")
    (new,) = [c for c in person.case.bag if c not in demo_case().bag]
    assert new.family == "hybrid" and new.tip_trim_m == pytest.approx(2 * INCH, abs=0.0005)
    carry = next(c.carry_m.mean for x in person.state.result.layouts[:1] for c in x.clubs if c.id == new.id)
    assert 150 <= carry <= 165
    person.press("Undo")
    assert person.case.bag == demo_case().bag
