"""No fold names a change that nobody could notice, gives a figure of what is not known, or takes back another's word."""

from dataclasses import replace

import numpy as np
import pytest

from app.players import default_layouts
from engine.documents.case import Case, Player, Shot
from engine.fitting.fitting import Fitting
from engine.workshop.norms import norm_bag, norm_club
from tests.app.driver import Person

NOT_KNOWN = "not known yet"


def player(sex, height, ids, carries, *, balls=12, sd=0.04, **lofts):
    """An invented player with the usual clubs of these ids, some of which were hit so far."""
    rng = np.random.default_rng(1)
    usual = [norm_club(i, sex) for i in ids] if ids else norm_bag(sex)
    bag = tuple(replace(c, loft_deg=lofts.get(c.id, c.loft_deg)) for c in usual)
    shots = tuple(
        Shot(i, carry_m=round(c * (1 + rng.normal(0, sd)), 1))
        for i, c in carries.items()
        for _ in range(balls)
    )
    case = Case(player=Player(sex=sex, height_m=height), bag=bag, shots=shots)
    return replace(case, layouts=default_layouts(bag))


FULL = {
    "dr": 195,
    "3w": 178,
    "5w": 170,
    "4h": 163,
    "5i": 152,
    "6i": 144,
    "7i": 135,
    "8i": 125,
    "9i": 114,
    "pw": 102,
}
PLAYERS = {
    "a 14-handicap with a full bag": player("male", 1.79, (), FULL | {"gw": 90, "sw": 78}),
    "slow, with few clubs": player(
        "female",
        1.63,
        ("dr", "5w", "5h", "7i", "9i", "pw", "sw", "pt"),
        {"dr": 120, "7i": 82, "9i": 70, "sw": 45},
    ),
    "fast": player(
        "male",
        1.86,
        ("dr", "3w", "3i", "4i", "5i", "6i", "7i", "8i", "9i", "pw", "gw", "sw", "lw", "pt"),
        {"dr": 262, "3w": 238, "4i": 205, "6i": 184, "7i": 172, "9i": 145, "pw": 132, "sw": 104},
        sd=0.03,
    ),
    "an unmeasured bag": player("male", 1.75, (), {"7i": 140}, balls=5),
    "two equal wedges": player(
        "male",
        1.80,
        (),
        {"dr": 205, "5i": 162, "7i": 143, "9i": 120, "pw": 108, "gw": 108, "sw": 85},
        balls=24,
        gw=47.0,
    ),
}
FOLDS = ("Driver", "Where the irons stop", "Fairway woods and hybrids", "Which clubs to carry")


@pytest.fixture(scope="module", params=PLAYERS.values(), ids=PLAYERS)
def person(request):
    person = Person(request.param).go("Lay out")
    for fold in FOLDS:
        person.open(fold)
    return person


def share(cell):
    """The chance that a cell tells."""
    return float(cell.replace("over ", "").replace("under ", "").split()[0]) / 100


def test_steeply_enough_is_said_of_no_iron_whose_ball_runs(person):
    text = person.text()
    rows = {row[0]: row for row in person.rows("Each iron")[1:]}
    for name, row in rows.items():
        if (
            f"irons stop at the {name}: the longest that still adds carry and comes down steeply enough"
            in text
        ):
            assert share(row[3]) >= 0.5
        if (
            f"irons stop at the {name}: the longest that still adds carry and comes down not much flatter"
            in text
        ):
            assert share(row[3]) < 0.5 < share(row[4])


def test_no_other_driver_is_named_for_what_nobody_notices(person):
    """A stroke in twenty drives is less than one in a round; ours, no source."""
    assert "next to nothing" not in person.text()
    said = [s for s in person.state.fitting.driver_length.statements if s.kind == "driver_length.better"]
    assert all(s.quantities["strokes"].value >= 0.05 for s in said)


def test_no_figure_stands_beside_what_is_not_known(person):
    fitting = person.state.fitting
    for change in fitting.make_up.next_best:
        if change.instead_of in fitting.hit_first or change.buy in fitting.hit_first:
            assert change.hit_first and "gain" not in change.statement.quantities
    for caption in ("Next best", "The bag to carry", "Woods and hybrids"):
        try:
            rows = person.rows(caption)[1:]
        except AssertionError:
            continue
        for row in rows:
            if NOT_KNOWN in row:
                assert not any(c.isdigit() for cell in row[1:] for c in cell), row


def test_what_a_club_would_bring_in_place_of_an_unknown_one_is_not_known():
    case = PLAYERS["slow, with few clubs"]
    fitting = Fitting(replace(case, wants=replace(case.wants, clubs_most=8, change_worth_m=5.0)))
    found = [c for c in fitting.make_up.next_best if c.instead_of == "5w" and c.buy not in fitting.hit_first]
    assert found and "5w" in fitting.hit_first and all(c.hit_first for c in found)


def test_every_fold_and_card_knows_the_same_clubs(person):
    """Whose carry is known, and what it is, in the whole numbers shown."""
    bag = {
        row[0]: row[1].split()[0]
        for row in person.rows("The bag to carry")[1:]
        if "to be added" not in row[0]
    }
    irons = {row[0]: row[1].split()[0] for row in person.rows("Each iron")[1:]}
    woods = {
        r[0]: r[1].split()[0] for r in person.rows("Woods and hybrids")[1:] if "not in the bag" not in r[0]
    }
    card = {row[0]: row[1].split()[0] for row in Person.at(person.page).go("Play").rows("Carry card")[1:]}
    person.go("Lay out")
    for told in (bag, irons, woods):
        assert {name: card[name] for name in told} == told
    assert bag.keys() == card.keys() or "Leave" in person.text()


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_figures_of_the_plan_are_those_of_the_card_and_of_a_sum_of_its_own(person, system):
    """To 0.1 m: each carry; how far off one is with the bag, without each club and with each change; in either unit."""
    person.state.set_units(system)
    fitting = person.state.fitting
    plan, metre = fitting.make_up, {"metric": 1.0, "imperial": 1 / 0.9144}[system]
    clubs = {c.id: c for c in fitting.to_play(fitting.layout.id)}
    card = dict(zip(clubs, fitting.played(tuple(clubs.values())).carry.mean(axis=0), strict=True))
    for club in plan.carried:
        if club.in_bag:
            assert club.carry_m.mean == pytest.approx(card[club.id], abs=0.1)
    usual = {
        c.id: norm_club(c.id, person.case.player.sex)
        for c in (*plan.carried, *plan.left_out)
        if c.id not in clubs
    }
    every = clubs | usual
    carry = dict(zip(every, fitting.predict(tuple(every.values())).carry.T, strict=True))
    tee = {i for i, c in every.items() if c.family == "driver"}
    grass = [carry[i].mean() for i in clubs if i not in tee]
    faced = np.linspace(min(grass), max(grass), 61)  # both ends among them

    def off(ids, draws=True):
        far = [carry[i] if draws else carry[i].mean(keepdims=True) for i in ids]  # the driver too
        return np.abs(np.array(far)[:, :, None] - faced).min(axis=0).mean()

    ids = [c.id for c in plan.carried]
    assert plan.miss_m.mean == pytest.approx(off(ids), abs=0.1)
    for club in plan.carried:
        if club.id not in tee and len(ids) - len(tee) > 1:
            without = off([i for i in ids if i != club.id], False) - off(ids, False)
            assert club.dropping_m == pytest.approx(without, abs=0.1), club.id
    for changes, start in ((plan.changes, list(clubs)), (plan.next_best, ids)):
        for change in changes:
            after = [*(i for i in start if i != change.instead_of), change.buy]
            assert change.gain_m.mean == pytest.approx(off(start) - off(after), abs=0.1), change.buy
    names = {c.id: c.name for c in (*plan.carried, *plan.left_out)}
    unit = {"metric": "m", "imperial": "yd"}[system]
    head, *rows = person.rows("The bag to carry")
    assert head[1:] == [f"carry ({unit})", f"farther off without it ({unit})"]
    shown = {row[0].removesuffix(" to be added"): row for row in rows}
    for club in plan.carried:
        if not club.hit_first:
            row = shown[club.name]
            assert float(row[1].split()[0].rstrip("*")) == pytest.approx(club.carry_m.mean * metre, abs=0.51)
            assert not row[2] or float(row[2]) == pytest.approx(club.dropping_m * metre, abs=0.051)
    text = person.text().replace("\u00a0", " ")
    for change in plan.changes:
        assert f"on average {change.gain_m.mean * metre:.1f} {unit} closer" in text or change.hit_first
    if plan.next_best:
        told = person.rows("Next best")
        assert told[0][1] == f"closer by ({unit})"
        for change, row in zip(plan.next_best, told[1:], strict=True):
            assert row[0].startswith(names[change.buy])
            assert row[1] == (NOT_KNOWN if change.hit_first else f"+{change.gain_m.mean * metre:.1f}")
    person.state.set_units("metric")


def test_what_stands_on_the_command_line_is_what_the_page_has(person):
    case = person.case
    assert Fitting(case, person.state.fitting.draws).make_up == person.state.fitting.make_up
