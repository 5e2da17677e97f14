"""Edits of bag, balls and layouts: what changes, and that nothing else does."""

import itertools
from dataclasses import replace

import pytest

from app import edits, sessions
from app.demo import demo_case
from app.players import default_layouts, is_blank, is_untouched, new_case, norm_bag
from engine.documents.case import Layout, LayoutClub, Shot
from engine.sets.plan import planned
from engine.workshop.norms import norm_club
from tests.app.driver import with_balls


@pytest.fixture
def case():
    return demo_case()


def ids(case):
    return [c.id for c in case.bag]


@pytest.mark.parametrize(("club", "before"), [("4i", "6i"), ("3i", "5i"), ("7w", "4h"), ("2h", "5w")])
def test_a_club_is_added_before_the_first_of_more_loft(case, club, before):
    new = norm_club(club)
    after = edits.add_club(case, new)
    at = ids(after).index(club)
    assert set(ids(after)) - set(ids(case)) == {club} and len(after.bag) == len(case.bag) + 1
    assert all(c.loft_deg <= new.loft_deg for c in after.bag[:at])
    assert after.bag[at + 1].loft_deg > new.loft_deg
    assert (after.shots, after.layouts) == (case.shots, case.layouts)


def test_a_putter_goes_to_the_end_and_a_second_club_of_an_id_gets_one_of_its_own(case):
    after = edits.add_club(edits.add_club(case, norm_club("pt")), norm_club("7i"))
    assert ids(after)[-1] == "pt-2" and "7i-2" in ids(after)
    third = edits.add_club(after, norm_club("7i"))
    assert {"7i", "7i-2", "7i-3"} <= set(ids(third)) and len(set(ids(third))) == len(third.bag)


def test_a_copy_stands_beside_its_club_and_is_carried(case):
    old = replace(case, bag=tuple(replace(c, became="8i") if c.id == "7i" else c for c in case.bag))
    after = edits.copy_club(old, "7i")
    at = ids(after).index("7i")
    assert after.bag[at + 1] == replace(old.bag[at], id="7i-2", name="7-iron (copy)", became=None)
    assert [c for c in after.bag if c.id != "7i-2"] == list(old.bag) and after.shots == old.shots


@pytest.mark.parametrize(
    ("club", "by", "place"), [("7i", 1, 7), ("7i", -1, 5), ("dr", -1, 0), ("pt", 1, 13), ("dr", 3, 3)]
)
def test_a_club_is_moved_but_not_out_of_the_bag(case, club, by, place):
    after = edits.move_club(case, club, by)
    assert ids(after).index(club) == place
    assert [i for i in ids(after) if i != club] == [i for i in ids(case) if i != club]


def test_a_club_goes_with_its_balls_and_its_place_in_the_layouts(case):
    case = replace(
        case,
        retest=(Shot("7i", 130.0), Shot("9i", 108.0)),
        layouts=(Layout("own", "own", clubs=(LayoutClub("7i"), LayoutClub("9i"))),),
    )
    after = edits.drop_club(case, "7i")
    assert "7i" not in ids(after) and len(after.bag) == len(case.bag) - 1
    assert [s for s in case.shots if s.club != "7i"] == list(after.shots)
    assert [s.club for s in after.retest] == ["9i"]
    assert [c.id for c in after.layouts[0].clubs] == ["9i"]


def test_the_usual_set_keeps_other_clubs_that_balls_were_hit_with(case):
    case = edits.add_club(edits.add_club(case, norm_club("4i")), norm_club("7w"))
    case = replace(case, shots=(*case.shots, Shot("4i", 150.0)))
    bent = edits.club("8i", "loft_deg")(case, 36.0)
    after = edits.usual_bag(bent)
    assert after.bag[:14] == norm_bag("female") and [c.id for c in after.bag[14:]] == ["4i"]
    again = edits.usual_bag(replace(bent, shots=(), retest=(Shot("7w", 150.0),)))
    assert [c.id for c in again.bag[14:]] == ["7w"]


def test_norms_change_the_usual_bag_and_its_usual_layouts_only():
    blank = new_case()
    woman = edits.sex(blank, "female")
    assert woman.bag == norm_bag("female") and woman.layouts == default_layouts(norm_bag("female"))
    assert woman.layouts[1].common_length_m == pytest.approx(36 * 0.0254, abs=1e-4)  # her 7-iron
    own = replace(blank, layouts=blank.layouts[:1])
    assert edits.sex(own, "female").layouts == own.layouts and edits.sex(own, "female").bag == norm_bag(
        "female"
    )
    hit = edits.add_club(blank, norm_club("4i"))
    assert edits.sex(hit, "female").bag == hit.bag and edits.sex(hit, "female").player.sex == "female"


def test_another_ball_like_the_one_hit_is_none(case):
    other = edits.ball("driver_spin")(case, 0.9)
    assert (other.wants.ball.driver_spin, other.wants.ball.wedge_spin) == (0.9, 1.0)
    assert edits.ball("driver_spin")(other, 1.0).wants.ball is None


def test_balls_are_taken_out_and_in_by_place(case):
    some = {3, 14}
    out = edits.use_balls(case, some, False)
    assert {(out.shots[n].use, out.shots[n].keep) for n in some} == {(False, False)}
    back = edits.use_balls(out, some, True)
    assert {(back.shots[n].use, back.shots[n].keep) for n in some} == {(True, True)}
    for edited in (out, back):
        assert all(
            a == b for n, (a, b) in enumerate(zip(edited.shots, case.shots, strict=True)) if n not in some
        )
    assert edits.drop_balls(case, {3}).shots == (*case.shots[:3], *case.shots[4:])
    assert edits.drop_balls(case, some).shots == (*case.shots[:3], *case.shots[4:14], *case.shots[15:])
    assert sessions.last_ball(case, "9i") == 13 and sessions.last_ball(case, "dr") is None
    assert sessions.last_ball(case, "7i") == 24


@pytest.mark.parametrize("step", [3.0, 4.0, 5.5])
def test_irons_are_set_apart_about_the_middle_one(case, step):
    after = edits.loft_steps("single", step)(case)
    irons = [c for c in planned(after.layouts[1], after) if c.family == "iron"]
    assert [b.loft_deg - a.loft_deg for a, b in itertools.pairwise(irons)] == pytest.approx([step] * 4)
    assert next(c for c in irons if c.id == "7i").loft_deg == case.club("7i").loft_deg
    assert after.layouts[0] == case.layouts[0] and after.bag == case.bag
    wedges = [(c.id, c.loft_deg) for c in planned(after.layouts[1], after) if c.family == "wedge"]
    assert wedges == [(c.id, c.loft_deg) for c in case.bag if c.family == "wedge"]


def test_irons_above_one_are_left_out_and_come_back_with_what_was_set_by_hand(case):
    case = edits.layout_club("single", "8i", "lie_deg")(case, 63.0)
    fewer = edits.without_irons_above("single", "7i")(case)
    assert [c.id for c in planned(fewer.layouts[1], fewer) if c.family == "iron"] == ["7i", "8i", "9i"]
    whole = edits.without_irons_above("single", None)(fewer)
    assert [c.id for c in planned(whole.layouts[1], whole) if c.family == "iron"] == [
        "5i",
        "6i",
        "7i",
        "8i",
        "9i",
    ]
    assert edits.by_hand(whole, "single", "8i") and not edits.by_hand(whole, "single", "9i")
    assert not edits.by_hand(whole, "stepped", "8i")


@pytest.mark.parametrize("field", ["length_m", "loft_deg", "lie_deg", "head_kg"])
def test_any_figure_by_hand_counts_as_by_hand(case, field):
    value = getattr(case.club("8i"), field) * 1.01
    set_ = edits.layout_club("single", "8i", field)(case, value)
    assert edits.by_hand(set_, "single", "8i")
    assert not edits.by_hand(edits.layout_club("single", "8i", field)(set_, None), "single", "8i")


def test_a_wood_set_by_hand_brings_the_others_of_its_kind_along(case):
    after = edits.layout_club("single", "5w", "loft_deg")(case, 18.0)
    named = {c.id: c.loft_deg for c in after.layouts[1].clubs}
    assert named["5w"] == 18.0 and "3w" in named and named["3w"] is None and "dr" not in named


def test_layouts_of_one_kind_get_ids_of_their_own_and_the_chosen_one_is_forgotten_with_it(case):
    more = edits.add_layout(edits.add_layout(case, "single"), "single")
    assert [x.id for x in more.layouts] == ["stepped", "single", "single-2", "single-3"]
    chosen = edits.wants("layout")(more, "single-2")
    assert edits.drop_layout(chosen, "single-2").wants.layout is None
    assert edits.drop_layout(chosen, "single").wants.layout == "single-2"


def test_who_has_typed_something_is_not_blank():
    blank = new_case()
    assert is_blank(blank) and is_untouched(blank)
    handed = edits.player("handed")(edits.sex(blank, "male"), "left")
    assert is_blank(handed) and is_untouched(handed)  # which hand, which norms: nothing is lost with them
    for edited in (
        edits.player("height_m")(blank, 1.8),
        edits.swing("attack_deg")(blank, 1.0),
        with_balls(blank, (Shot("7i", 130.0),)),
    ):
        assert not is_blank(edited) and not is_untouched(edited)
    bent = edits.club("7i", "loft_deg")(blank, 33.0)
    assert is_blank(bent) and not is_untouched(bent)


def test_air_edits_begin_from_reference_air_and_leave_that_of_the_balls(case):
    warm = edits.air("temperature_c")(case, 35.0)
    assert warm.wants.air.temperature_c == 35.0 and warm.wants.air.altitude_m == 0
    windy = edits.air("wind_mps")(warm, 4.0)
    assert (windy.wants.air.temperature_c, windy.wants.air.wind_mps) == (35.0, 4.0)
    assert windy.conditions == case.conditions
