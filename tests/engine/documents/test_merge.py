"""Copies of one player that come home: no ball lost or doubled, nothing overwritten in silence."""

import json
import random
from dataclasses import replace

import pytest

from engine.documents.case import (
    Case,
    CaseError,
    Conditions,
    Layout,
    Player,
    Session,
    Shot,
    SwingSize,
    WantedCarry,
    Wants,
)
from engine.documents.checking import checked
from engine.documents.merge import merge, named, tracked
from engine.documents.reading import read_case
from engine.workshop.norms import norm_bag

BAG = tuple(c for c in norm_bag("male") if c.id in ("7i", "9i", "pw"))
CLUBS = [c.id for c in BAG]


def balls(*carries, club=CLUBS[0], **known):
    return tuple(Shot(club, carry_m=float(c), **known) for c in carries)


def a_case(*carries, **parts):
    return named(Case(player=Player(label="Anna", id="anna"), bag=BAG, shots=balls(*carries), **parts), "a")


def add(case, prefix, *carries, **known):
    return named(replace(case, shots=(*case.shots, *balls(*carries, **known))), prefix)


def take_out(case, *numbers):
    return tracked(case, case.without_shots(numbers))


def carries(case):
    return sorted(s.carry_m for s in case.shots)


def paths(merged):
    return [d.path for d in merged.differences]


# balls


def test_balls_of_both_sides_are_there_once_however_often_and_in_whichever_order():
    base = a_case(139, 141)
    mine, theirs = add(base, "c", 150, 150), add(base, "s", 120, 150, by="Anna")
    one, other = merge(mine, theirs, base), merge(theirs, mine, base)
    assert carries(one.case) == carries(other.case) == [120, 139, 141, 150, 150, 150]
    assert {s.id for s in one.case.shots} == {s.id for s in other.case.shots}
    assert [s.carry_m for s in one.added] == [120, 150] and {s.by for s in one.added} == {"Anna"}
    assert one.case.shots[: len(mine.shots)] == mine.shots  # those that came in stand last
    again = merge(one.case, theirs, base)
    assert again.case == one.case and again.nothing_new
    assert merge(one.case, other.case).nothing_new


def test_a_ball_that_one_side_took_out_stays_with_the_other_until_somebody_says_so():
    base = a_case(139, 141)
    mine, theirs = add(base, "c", 150), take_out(base, 0)
    open_ = merge(mine, theirs, base)
    assert carries(open_.case) == [139, 141, 150] and [s.carry_m for s in open_.removed] == [139]
    assert merge(open_.case, theirs, base).removed == open_.removed  # asked about again
    assert carries(merge(theirs, mine, base).case) == [141, 150]  # nor does it come back by itself
    found = merge(mine, theirs, base, drop={"a1"})
    assert carries(found.case) == [141, 150] and [s.carry_m for s in found.removed] == [139]
    back = merge(found.case, mine, base)  # a copy from before does not bring it back
    assert back.case == found.case and back.nothing_new


def test_a_ball_that_was_kept_there_stays_out_where_a_person_says_so():
    base = a_case(139, 141)
    theirs = merge(base, take_out(base, 0), base, keep={"a1"}).case
    mine = take_out(base, 0)
    found = merge(mine, theirs, base)
    (back,) = found.back
    out = merge(mine, theirs, base, drop={back})
    assert carries(out.case) == [141] and back in out.case.removed and not (out.added or out.back)
    assert merge(out.case, theirs, base).nothing_new
    assert [s.id for s in merge(theirs, out.case, base).removed] == [
        back
    ]  # they are asked, nothing goes by itself


def test_a_text_that_a_person_wrote_stands_in_place_of_both():
    mine, theirs = (replace(a_case(), player=Player(id="anna", note=note)) for note in ("a", "b"))
    found = merge(mine, theirs, choices={("player", "note"): "a and b"})
    assert found.case.player.note == "a and b" and [d.path for d in found.differences] == [("player", "note")]


def test_a_ball_that_somebody_wants_to_keep_comes_back_to_both_as_a_ball_of_its_own():
    base = a_case(139, 141)
    theirs = take_out(base, 0)
    kept = merge(base, theirs, keep={base.shots[0].id})
    assert carries(kept.case) == [139, 141] and kept.case.shots[0].id != "a1"
    assert merge(kept.case, theirs).case == kept.case and merge(kept.case, theirs).nothing_new
    there = merge(theirs, kept.case)
    assert carries(there.case) == [139, 141] and [s.carry_m for s in there.added] == [139]
    assert there.back == {there.added[0].id} and not kept.back
    assert merge(base, theirs, keep={base.shots[0].id}).case == kept.case  # the same on every device


def test_a_ball_that_was_kept_there_is_the_one_whose_removal_was_undone_here():
    base = a_case(139, 141)
    kept = merge(base, take_out(base, 0), keep={"a1"}).case
    excluded = replace(kept, shots=(replace(kept.shots[0], use=False), *kept.shots[1:]))
    for theirs, uses in ((kept, [True, True]), (excluded, [False, True])):
        found = merge(base, theirs, base)
        assert [s.id for s in found.case.shots] == [s.id for s in kept.shots] and not found.removed
        assert [s.use for s in found.case.shots] == uses and not found.added
        assert carries(merge(theirs, base, base).case) == [139, 141]
    again = take_out(kept, 0)  # taken out and kept once more
    third = merge(kept, again, keep={kept.shots[0].id}).case
    assert (
        carries(third) == carries(merge(base, third).case) == carries(merge(again, third).case) == [139, 141]
    )
    assert merge(base, third).case.shots == third.shots


def test_balls_without_an_id_are_paired_by_value_each_with_one():
    mine = replace(a_case(), shots=balls(139, 139, 141))
    theirs = replace(a_case(), shots=balls(139, 139, 139, 139, 120))
    found = merge(mine, theirs)
    assert carries(found.case) == [120, 139, 139, 139, 139, 141] and len(found.added) == 3
    assert all(s.id for s in found.added)
    assert merge(found.case, theirs).case == found.case
    assert merge(mine, theirs).case == found.case  # what ids there are follows from the balls
    known = named(mine, "c")  # an older program sends balls back that it cannot name
    assert carries(merge(known, theirs).case) == [120, 139, 139, 139, 139, 141]


def test_a_ball_without_an_id_takes_that_of_the_ball_it_is_paired_with():
    mine, theirs = replace(a_case(), shots=balls(139, 141)), add(a_case(), "s", 141, by="Anna")
    found = merge(mine, theirs)
    assert [(s.carry_m, s.id, s.by) for s in found.case.shots] == [(139, None, None), (141, "s1", "Anna")]
    assert not found.added


def test_what_was_changed_here_only_is_not_asked_about():
    base = a_case(139, 141)
    fine = replace(base, shots=(replace(base.shots[0], spin_rpm=6000.0), base.shots[1]))
    mine = replace(fine, shots=(replace(fine.shots[0], spin_rpm=None, carry_m=138.0), base.shots[1]))
    assert merge(mine, fine, fine).nothing_new and merge(mine, fine, fine).case == mine


def test_a_ball_that_was_put_back_is_not_counted_as_taken_out():
    base = a_case(139, 141)
    gone = take_out(base, 0)
    assert gone.removed == ("a1",) and take_out(gone, 0).removed == ("a1", "a2")
    assert tracked(gone, replace(gone, shots=base.shots)).removed == ()
    plain = replace(base, shots=balls(139))
    assert tracked(plain, replace(plain, shots=())).removed == ()  # nobody else can have it


def test_two_ids_are_two_balls_whatever_their_values():
    mine, theirs = add(a_case(), "c", 139), add(a_case(), "s", 139)
    assert carries(merge(mine, theirs).case) == [139, 139]


def test_a_ball_that_a_link_rounded_or_thinned_is_no_difference_and_is_made_finer():
    fine = named(
        replace(a_case(), shots=balls(139.04, spin_rpm=6012.0) + balls(141.0, ball_speed_mps=54.36)), "c"
    )
    coarse = replace(fine, shots=tuple(Shot(s.club, round(s.carry_m, 1), id=s.id) for s in fine.shots[:1]))
    assert merge(fine, coarse, fine).case == fine and merge(fine, coarse).nothing_new
    assert merge(coarse, fine).case.shots == fine.shots


def test_a_ball_that_both_sides_changed_stays_as_it_is_here_until_somebody_chooses():
    base = a_case(139, 141)
    mine = replace(base, shots=(replace(base.shots[0], carry_m=138.0), base.shots[1]))
    theirs = replace(base, shots=(replace(base.shots[0], carry_m=137.0), replace(base.shots[1], use=False)))
    found = merge(mine, theirs, base)
    first, second = found.differences
    assert (first.path, first.mine, first.theirs, first.news, first.taken) == (
        ("shots", "a1", "carry_m"), 138.0, 137.0, False, False
    )  # fmt: skip
    assert (second.path, second.news, second.taken) == (("shots", "a2", "use"), True, True)
    assert found.case.shots == (mine.shots[0], theirs.shots[1])
    assert merge(mine, theirs, base, choices={first.path: True}).case.shots == theirs.shots
    assert merge(mine, theirs, base, choices={second.path: False}).case.shots == mine.shots
    assert len(merge(mine, theirs).differences) == 2 and merge(mine, theirs).case.shots == mine.shots


# everything else


def test_what_one_side_changed_is_taken_and_what_both_changed_is_asked():
    base = a_case(layouts=(Layout("single", "single", common_length_m=0.95),), wants=Wants(gap_m=10.0))
    mine = replace(base, player=replace(base.player, height_m=1.8), wants=replace(base.wants, gap_m=11.0))
    theirs = replace(
        base,
        player=replace(base.player, height_m=1.7, wingspan_m=1.75),
        layouts=(Layout("single", "single", common_length_m=0.94), Layout("own", "own")),
        conditions=Conditions(temperature_c=12.0),
    )
    found = merge(mine, theirs, base)
    told = {d.path: (d.news, d.taken) for d in found.differences}
    assert told == {
        ("player", "height_m"): (False, False),
        ("player", "wingspan_m"): (True, True),
        ("conditions", "temperature_c"): (True, True),
        ("layouts", "single", "common_length_m"): (True, True),
        ("layouts", "own"): (True, True),
    }
    assert found.case.player.height_m == 1.8 and found.case.player.wingspan_m == 1.75
    assert found.case.wants.gap_m == 11.0 and len(found.case.layouts) == 2
    chosen = merge(
        mine, theirs, base, choices={("player", "height_m"): True, ("player", "wingspan_m"): False}
    )
    assert chosen.case.player.height_m == 1.7 and chosen.case.player.wingspan_m is None
    unknown = merge(mine, theirs)  # without a copy in common nothing that is there is touched
    assert unknown.case.wants == mine.wants and unknown.case.conditions == mine.conditions
    assert unknown.case.player.wingspan_m == 1.75  # nothing stood there
    assert ("conditions", "temperature_c") in paths(unknown)
    assert ("player", "wingspan_m") not in paths(
        merge(theirs, mine)
    )  # nor is anything said of what they do not say


def test_sessions_clubs_and_part_swings_come_by_id_and_those_of_balls_stay():
    base = a_case(sessions=(Session("s1", place="Range"),), swing_sizes=(SwingSize("hip", "to the hip"),))
    mine = replace(base, swing_sizes=(), bag=BAG[:2])
    theirs = replace(
        base,
        sessions=(Session("s1", place="Indoors"), Session("s2", date="2031-05-03")),
        shots=balls(60, club=CLUBS[2], swing_size="hip", session="s2", id="x1"),
    )
    found = merge(mine, theirs, base)
    assert [s.id for s in found.case.sessions] == ["s1", "s2"] and found.case.sessions[0].place == "Indoors"
    assert found.case.swing_sizes == base.swing_sizes and {c.id for c in found.case.bag} == set(CLUBS)
    without = replace(theirs, shots=())
    found = merge(mine, without, base)
    assert found.case.swing_sizes == () and len(found.case.bag) == 2
    assert paths(found) == [
        ("sessions", "s1", "place"),
        ("sessions", "s2"),
    ]  # what was taken out here is no news


def test_an_entry_that_they_took_out_stays_until_somebody_says_so():
    base = a_case(139, layouts=(Layout("single", "single"), Layout("own", "own")))
    theirs = replace(base, layouts=base.layouts[:1], bag=BAG[1:], shots=())
    found = merge(base, theirs, base)
    assert found.case.layouts == base.layouts and paths(found) == [
        ("layouts", "own")
    ]  # a ball needs the club
    gone = merge(base, theirs, base, choices={("layouts", "own"): True})
    assert gone.case.layouts == theirs.layouts and len(gone.case.bag) == len(BAG)


def test_carries_wanted_and_tags_are_told_and_unknown_keys_come_along():
    base = a_case(wants=Wants(carries=(WantedCarry("7i", 140.0),)))
    theirs = replace(
        base,
        player=replace(base.player, tags=("junior",)),
        wants=Wants(carries=(WantedCarry("7i", 145.0), WantedCarry("9i", 118.0))),
    )
    doc = theirs.to_doc()
    doc["bag"][0]["paint"] = "blue"
    found = merge(base, read_case(doc), base)
    assert paths(found) == [
        ("player", "tags"),
        ("bag", BAG[0].id, "paint"),
        ("wants", "carries", "7i", "carry_m"),
        ("wants", "carries", "9i"),
    ]
    assert found.case == read_case(doc)


def test_marks_of_copies_are_handed_on_only_once_nothing_is_left_open():
    base = replace(a_case(), shares=("m1",))
    mine = replace(base, player=replace(base.player, height_m=1.8), shares=("m1", "m2"))
    theirs = replace(base, player=replace(base.player, height_m=1.7), shares=("m1", "t1"))
    assert merge(mine, theirs, base).case.shares == ("m1", "m2")
    answered = merge(mine, theirs, base, choices={("player", "height_m"): False}).case
    assert answered.shares == ("m1", "m2", "t1") and answered.player.height_m == 1.8


def test_what_is_too_much_for_one_document_is_refused():
    layouts = [tuple(Layout(f"{side}{n}", "own") for n in range(5)) for side in "ab"]
    with pytest.raises(CaseError, match="layouts: must have at most 8"):
        merge(a_case(layouts=layouts[0]), a_case(layouts=layouts[1]))


# any history


class Device:
    """One side of a history: edits, sends and takes in as the program does; ``by`` of a ball is its name in the truth."""

    def __init__(self, name, case, chance, says):
        self.name, self.case, self.chance, self.marks, self.says = name, case, chance, 0, says
        self.sent, self.known = [], []

    def mark(self):
        self.marks += 1
        return f"{self.name}{self.marks}x"

    def edit(self, new):
        self.case = checked(tracked(self.case, new), known=self.case)

    def send(self):
        case = named(self.case, self.mark())
        self.case = replace(case, shares=(*case.shares, self.mark())[-12:])
        self.known = [*self.known, (self.case.shares[-1], self.case)][-4:]
        self.sent.append(json.dumps(self.case.to_doc()))

    def take_in(self, text, *, cut=False):
        theirs = read_case(json.loads(text))
        if cut:  # as a link that was too long
            shots = tuple(
                Shot(s.club, round(s.carry_m, 1), id=s.id, by=s.by)
                for s in theirs.shots
                if self.chance.random() < 0.5
            )
            theirs = replace(theirs, shots=shots)
        base = next((case for mark, case in reversed(self.known) if mark in theirs.shares), None)
        mine = named(self.case, self.mark())
        asked = sorted(s.id for s in merge(mine, theirs, base).removed)
        say = {ball: self.chance.choice(self.says) for ball in asked}
        keep, drop = ({ball for ball in asked if say[ball] == word} for word in ("keep", "drop"))
        found = merge(mine, theirs, base, keep=keep, drop=drop)
        told = {d.path: d for d in found.differences}
        for name in ("height_m", "wingspan_m"):  # nothing changes in silence
            before, after = getattr(mine.player, name), getattr(found.case.player, name)
            assert before == after or told["player", name].taken
        went = {s.by for s in found.removed if s.id in drop}
        assert {s.by for s in mine.shots} - {s.by for s in found.case.shots} == went
        assert len({s.by for s in found.case.shots}) == len(found.case.shots)  # none doubled
        again = merge(found.case, theirs, base)
        assert again.case.shots == found.case.shots and not again.added
        assert sorted(s.id for s in again.removed) == [ball for ball in asked if say[ball] == "wait"]
        if found.case.shares != mine.shares and theirs.shares:
            self.known = [*self.known, (theirs.shares[-1], theirs)][-4:]
        self.case = found.case


def history(seed):
    """In every second history balls that the other side took out are taken out; else each is kept, taken out or left open,
    until at last nothing is left open."""
    chance = random.Random(seed)
    drops = seed % 2 == 0
    says = ("drop",) if drops else ("keep", "drop", "wait")
    start = Case(player=Player(label="Anna", id="anna"), bag=BAG)
    coach = Device("c", start, chance, says)
    coach.edit(replace(start, shots=balls(*chance.choices((130, 140.04), k=3), by=None)))
    coach.case = replace(
        coach.case, shots=tuple(replace(s, by=f"t{n}") for n, s in enumerate(coach.case.shots))
    )
    truth, gone, number = {"t0", "t1", "t2"}, set(), 3
    coach.send()
    student = Device("s", read_case(json.loads(coach.sent[0])), chance, says)
    student.known = [(coach.case.shares[-1], student.case)]
    for _ in range(chance.randint(3, 14)):
        one, other = chance.sample((coach, student), 2)
        act = chance.random()
        case = one.case
        if act < 0.35:
            new = [
                Shot(chance.choice(CLUBS), chance.choice((130.0, 140.04)), by=f"t{number + n}")
                for n in range(chance.randint(1, 3))
            ]
            number += len(new)
            truth |= {s.by for s in new}
            one.edit(replace(case, shots=(*case.shots, *new)))
        elif act < 0.5 and case.shots:
            out = chance.randrange(len(case.shots))
            gone.add(case.shots[out].by)
            one.edit(case.without_shots([out]))
        elif act < 0.6 and case.shots:
            shots = list(case.shots)
            at = chance.randrange(len(shots))
            shots[at] = replace(shots[at], use=not shots[at].use, carry_m=chance.choice((120.0, 125.0)))
            one.edit(replace(case, shots=tuple(shots)))
        elif act < 0.7:
            name = "height_m" if one is coach else "wingspan_m"
            one.edit(replace(case, player=replace(case.player, **{name: chance.choice((1.6, 1.7, 1.8))})))
        elif act < 0.85:
            one.send()
        elif other.sent:
            one.take_in(chance.choice(other.sent), cut=chance.random() < 0.3)
    coach.says = student.says = tuple(word for word in says if word != "wait")
    for one, other in ((coach, student), (student, coach), (coach, student), (student, coach)):
        one.send()
        other.take_in(one.sent[-1])
    for device in (coach, student):
        there = [s.by for s in device.case.shots]
        assert truth - gone <= {*there} <= truth and len({*there}) == len(there), seed
        assert not drops or sorted(there) == sorted(truth - gone), seed
    assert {s.id for s in coach.case.shots} == {s.id for s in student.case.shots}
    return coach, student


@pytest.mark.parametrize(
    "batch", [range(200), pytest.param(range(200, 5000), marks=pytest.mark.soak)], ids=["200", "4800"]
)
def test_any_history_of_two_sides_ends_in_one_set_of_balls(batch):
    for seed in batch:
        coach, student = history(seed)
        # each of these was edited on one side only, so that both sides end with what that side has
        assert coach.case.player.height_m == student.case.player.height_m, seed
        assert coach.case.player.wingspan_m == student.case.player.wingspan_m, seed
