"""Whatever is laid out: once it is built as ordered, it plays as was promised, and nothing is left to order."""

from dataclasses import replace

import numpy as np
import pytest

from app import edits
from engine.documents.case import Case, Layout, Player, Shot, Swing
from engine.fitting.fitting import Fitting
from engine.sets.common_target import asked_of_each
from engine.sets.plan import BUILT
from engine.workshop.norms import norm_bag

KINDS = ("present", "stepped", "single", "single_wedges", "two_lengths")


def halves(angle):
    """In half degrees, as the bench bends them."""
    return round(2 * angle) / 2


def made_up(seed):
    """A player with some clubs hit, a set to build and perhaps gaps to it, all drawn."""
    rng = np.random.default_rng([1711, seed])
    sex = ("male", "female")[rng.integers(2)]
    bag = tuple(
        replace(
            c,
            loft_deg=halves(c.loft_deg + rng.normal(0, 0.7)),
            lie_deg=halves(c.lie_deg + rng.normal(0, 0.7)),
        )
        if c.family in ("iron", "wedge")
        else c
        for c in norm_bag(sex)
    )
    level = {"male": 150.0, "female": 110.0}[sex] * rng.uniform(0.85, 1.15)
    full = [c for c in bag if c.family != "putter"]
    hit = rng.choice(len(full), size=rng.integers(1, 8), replace=False)
    shots = tuple(
        Shot(
            full[i].id,
            round(level * float(np.exp(-0.018 * (full[i].loft_deg - 34) + rng.normal(0, 0.05))), 1),
        )
        for i in sorted(hit)
        for _ in range(rng.integers(2, 9))
    )
    layout = Layout(
        "wish",
        KINDS[seed % len(KINDS)],
        common_length_m=round(rng.uniform(0.90, 0.96), 3) if rng.random() < 0.5 else None,
    )
    case = Case(Player(sex=sex, height_m=rng.uniform(1.55, 1.9)), Swing(), bag, shots, layouts=(layout,))
    gap = round(rng.uniform(7, 13), 1) if seed % 2 else None
    return replace(case, wants=replace(case.wants, layout="wish", gap_m=gap))


def ordered(fitting):
    """The clubs as the sheet orders them."""
    return tuple(work.target for work in fitting.build.clubs)


@pytest.mark.parametrize("seed", range(20))
def test_what_was_promised_is_what_is_built(seed):
    case = made_up(seed)
    before = Fitting(case, 256)
    clubs = ordered(before)
    promised = before.predict(clubs).carry
    built = edits.built(case, clubs)
    after = Fitting(built, 256)
    assert {c.id: c for c in after.present} == {
        # a butt is known to be cut only where the length was known
        c.id: replace(c, bounce_deg=built.club(c.id).bounce_deg, butt_trim_m=built.club(c.id).butt_trim_m)
        for c in clubs
    }
    flown = after.predict(tuple(built.club(c.id) for c in clubs)).carry
    hit = {s.club for s in case.shots}
    low, high = np.quantile(promised, (0.05, 0.95), axis=0)
    for i, club in enumerate(clubs):
        now = flown[:, i].mean()
        assert low[i] <= now <= high[i], club.id
        if club.id in hit:
            assert now == pytest.approx(promised[:, i].mean(), abs=0.5), club.id


@pytest.mark.parametrize("seed", range(20))
def test_a_bag_with_nothing_to_change_orders_no_work(seed):
    case = made_up(seed)
    assert Fitting(replace(case, wants=replace(case.wants, layout=None, gap_m=None)), 16).build.minutes == 0
    built = edits.built(case, ordered(Fitting(case, 16)))
    sheet = Fitting(built, 16).build
    assert (sheet.minutes, sheet.parts, sheet.feasible) == (0, (), True)
    assert built.wants.layout == BUILT and [x.id for x in built.layouts] == [BUILT]
    again = edits.built(built, ordered(Fitting(built, 16)))
    assert again.bag == built.bag and again.shots == built.shots


@pytest.mark.parametrize("seed", range(6))
def test_one_figure_off_is_all_that_is_ordered_next(seed):
    case, club = a_lie_ordered(seed)
    clubs = ordered(Fitting(case, 16))
    club = next(c for c in clubs if c.id == club.id)
    case = edits.measured(club.id, "lie_deg")(case, club.lie_deg + 1)
    built = edits.built(case, clubs)
    assert built.club(club.id).lie_deg == club.lie_deg + 1
    left = Fitting(replace(built, wants=replace(built.wants, layout="ordered")), 16).build
    (work,) = [c for c in left.clubs if c.minutes]
    (action,) = work.actions
    assert work.id == club.id and action.kind == "work.bend_lie"
    assert (action.quantities["change"].value, action.terms["way"]) == (pytest.approx(1.0), "flat")


def a_lie_ordered(seed):
    """A player of whom one iron or wedge is to be bent a degree flatter, and that club as it is."""
    case = made_up(seed)
    made = [w.target for w in Fitting(case, 16).build.clubs if w.feasible]
    heads = [c for c in made if c.family in ("iron", "wedge")]
    club = heads[seed % len(heads)]
    lie = round(case.club(club.id).lie_deg - 1, 2)
    case = replace(case, bag=tuple(replace(c, head_material="forged") for c in case.bag))
    return edits.layout_club("wish", club.id, "lie_deg")(case, lie), case.club(club.id)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(("name", "by"), [("length_m", 0.007), ("head_kg", 0.004), ("loft_deg", 1.5)])
def test_a_first_measurement_of_what_was_not_ordered_orders_nothing(seed, name, by):
    """A length nobody had measured or ordered was typed as it came out, and the next sheet cut it back to the guess."""
    case, club = a_lie_ordered(seed)
    case = replace(case, bag=tuple(replace(c, **usual(c)) if c.id == club.id else c for c in case.bag))
    clubs = ordered(Fitting(case, 16))
    order = next(c for c in clubs if c.id == club.id)
    if getattr(order, name) != getattr(case.club(club.id), name):
        pytest.skip("this layout orders that figure")
    if name in asked_of_each(case, case.layouts[0], {c.id: c for c in clubs})[club.id]:
        pytest.skip("all of this layout have that figure in common")
    case = edits.measured(club.id, "lie_deg")(case, order.lie_deg)
    case = edits.measured(club.id, name)(case, round(getattr(order, name) + by, 4))
    built = edits.built(case, clubs)
    assert built.club(club.id).measured.count(name) == 1
    assert [x.id for x in built.layouts] == [BUILT]


def usual(club):
    """The figures such a club usually has: what stands in a bag of which nobody has measured anything."""
    norm = next(c for c in (*norm_bag("male"), *norm_bag("female")) if c.id == club.id)
    return {"length_m": norm.length_m, "loft_deg": norm.loft_deg, "head_kg": norm.head_kg}
