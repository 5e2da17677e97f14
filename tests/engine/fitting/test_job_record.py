"""The job record: every day of hitting and every piece of work, by date; and what is left to settle."""

import json
from dataclasses import replace

import pytest

from engine.documents.case import Case, CaseError, Job, JobClub, Layout, Measured, Session, Shot, Wants
from engine.documents.checking import checked
from engine.documents.merge import merge
from engine.documents.reading import read_case, restore
from engine.fitting.job_record import job_record, last_hit, open_question
from engine.fitting.sections import document
from engine.workshop.norms import norm_bag

BAG = tuple(c for c in norm_bag("male") if c.id in ("7i", "8i", "9i", "pw"))
SEVEN = JobClub("7i", "7-iron", 0.94, 33.0, 62.5, 0.272)
ORDER = Job("o", "ordered", "2031-04-02", (SEVEN, JobClub("8i", "8-iron", loft_deg=37.0)))
BUILT = Job("b", "built", "2031-05-03", (SEVEN,))


def balls(*clubs, **known):
    return tuple(Shot(club, carry_m=140.0, **known) for club in clubs)


def built_player():
    """Hit, ordered, built, hit again; the 7-iron as it was stays for its balls."""
    old = replace(BAG[0], id="7i-old", became="7i")
    return Case(
        bag=(*BAG, old),
        shots=(*balls("7i-old", "7i-old", "9i", session="s1"), *balls("7i", session="s2")),
        retest=balls("8i", session="s2"),
        sessions=(
            Session("s2", "2031-06-01", place="home range", note="calm"),
            Session("s1", "2031-03-01"),
            Session("s3", "2031-05-10", note="no balls, talk only"),
            Session("s4", "2031-05-11"),
        ),
        jobs=(BUILT, ORDER, Job("n", "note", "2031-05-03", note="new grips")),
        layouts=(Layout("built", "present"),),
        wants=Wants(layout="built"),
    )


def test_everything_stands_there_by_date():
    lines = job_record(built_player())
    assert [(one.date, one.what, one.id) for one in lines] == [
        ("2031-03-01", "hit", "s1"),
        ("2031-04-02", "ordered", "o"),
        ("2031-05-03", "note", "n"),
        ("2031-05-03", "built", "b"),
        ("2031-05-10", "hit", "s3"),
        ("2031-06-01", "hit_again", "s2"),
    ]
    assert [(one.balls, [c.id for c in one.clubs]) for one in lines if one.what.startswith("hit")] == [
        (3, ["7i-old", "9i"]),
        (0, []),
        (2, ["8i", "7i"]),
    ]
    assert lines[1].clubs == ORDER.clubs and lines[-1].place == "home range" and lines[-1].note == "calm"


def test_what_has_no_date_stands_at_the_ends():
    case = replace(
        built_player(),
        shots=balls("9i", "9i"),
        retest=balls("7i"),
        bench=(Measured("8i", "built", loft_deg=36.5),),
    )
    lines = job_record(case)
    assert (lines[0].what, lines[0].balls, lines[0].date) == ("hit", 2, None)
    assert [one.what for one in lines[-2:]] == ["hit_again", "on_bench"]
    assert lines[-1].clubs == (JobClub("8i", "8-iron", loft_deg=36.5),)


def test_balls_of_one_day_before_and_after_the_build_are_counted_apart():
    """Only the 7-iron was built; the 8-iron was hit again as it is, the 9-iron as ever."""
    case = replace(
        built_player(),
        shots=(
            *balls("7i-old", "9i", "9i", session="s2"),
            *balls("7i", "7i", "8i", session="s2", layout="built"),
        ),
        retest=(),
    )
    before, after = (one for one in job_record(case) if one.balls)
    assert (before.what, before.id, before.balls, before.note) == ("hit", "s2", 3, "calm")
    assert (after.what, after.id, after.balls, after.note) == ("hit_again", "s2", 3, "calm")
    assert [(c.id, n) for c, n in zip(before.clubs, before.each, strict=True)] == [("7i-old", 1), ("9i", 2)]
    assert [(c.id, n) for c, n in zip(after.clubs, after.each, strict=True)] == [("7i", 2), ("8i", 1)]


def test_balls_of_a_day_before_the_build_are_not_told_as_hit_after_it():
    case = built_player()
    early = replace(case, shots=balls("7i", "7i", session="s1"), retest=())
    assert [(one.what, one.balls) for one in job_record(early) if one.balls] == [("hit", 2)]


def test_balls_that_do_not_count_are_no_day_of_hitting():
    case = Case(bag=BAG, shots=balls("7i", session="s1", use=False), sessions=(Session("s1", "2031-03-01"),))
    assert job_record(case) == ()
    means = Case(bag=BAG, shots=balls("7i", balls=12.0))
    assert job_record(means)[0].balls == 12


def test_the_last_session_is_the_newest_with_balls():
    assert last_hit(built_player()) == "2031-06-01"
    assert last_hit(Case(bag=BAG, shots=balls("7i"))) is None


@pytest.mark.parametrize(
    ("left", "parts"),
    [
        (None, {}),
        ("on_bench", {"bench": (Measured("7i", loft_deg=33.0),)}),
        ("to_build", {"jobs": (BUILT, replace(ORDER, date="2031-06-02"))}),
        ("to_build", {"jobs": (ORDER,)}),
        ("to_hit", {"retest": (), "shots": balls("7i-old", "9i", "pw")}),
        ("rest_of_order", {"layouts": (Layout("built", "present"), Layout("ordered", "own"))}),
        ("no_carries", {"shots": (), "layouts": (), "retest": ()}),
        ("few_clubs", {"shots": balls("7i", "9i"), "layouts": ()}),
        ("to_order", {"layouts": (Layout("one", "single"),), "wants": Wants(layout="one")}),
    ],
)
def test_what_is_left_to_settle(left, parts):
    assert open_question(replace(built_player(), **parts)) == left


def test_built_on_the_day_of_the_order_is_built():
    same_day = replace(built_player(), jobs=(ORDER, replace(BUILT, date=ORDER.date)))
    assert open_question(same_day) is None
    assert open_question(replace(same_day, jobs=same_day.jobs[::-1])) == "to_build"


def test_the_record_goes_into_the_document_and_back():
    case = built_player()
    doc = json.loads(json.dumps(case.to_doc()))
    assert doc["jobs"][0]["clubs"][0] == {
        "id": "7i",
        "name": "7-iron",
        "length_m": 0.94,
        "loft_deg": 33.0,
        "lie_deg": 62.5,
        "head_kg": 0.272,
        "swing_weight_inoz": None,
    }
    assert read_case(doc) == case.hit_as_built() and checked(case) == case
    doc = case.hit_as_built().to_doc()
    doc["jobs"][0]["clubs"][0]["later"] = doc["jobs"][1]["later"] = 7
    assert read_case(doc).to_doc() == doc, "keys of a later version are kept"


def test_a_record_alone_makes_no_newer_document_and_none_leaves_no_trace():
    """An older program hands it on unread."""
    assert Case(bag=BAG, jobs=(ORDER,)).to_doc()["version"] == 1
    assert "jobs" not in Case(bag=BAG).to_doc()


@pytest.mark.parametrize(
    ("field", "wrong"),
    [("what", "sold"), ("what", None), ("date", "3 May"), ("note", 7), ("clubs", 3), ("clubs", [{"id": ""}])],
)
def test_a_wrong_line_is_refused_by_name_and_mended_leniently(field, wrong):
    doc = Case(bag=BAG, jobs=(ORDER, BUILT)).to_doc()
    doc["jobs"][0][field] = wrong
    with pytest.raises(CaseError, match=rf"jobs\[0\]\.{field}"):
        read_case(doc)
    found = restore(doc)
    assert found.notes and BUILT in found.case.jobs


def test_a_record_comes_together_from_both_sides_and_a_link_without_one_takes_nothing_out():
    base = Case(bag=BAG, jobs=(ORDER,))
    mine = replace(base, jobs=(ORDER, BUILT))
    theirs = replace(base, jobs=(ORDER, Job("n", "note", "2031-05-20", note="lesson")))
    found = merge(mine, theirs, base)
    assert {one.id for one in found.case.jobs} == {"o", "b", "n"}
    assert {one.id for one in merge(theirs, mine, base).case.jobs} == {"o", "b", "n"}
    without = merge(mine, replace(base, jobs=()), mine)
    assert without.case.jobs == mine.jobs and without.nothing_new
    redated = merge(mine, replace(mine, jobs=(ORDER, replace(BUILT, date="2031-05-04"))), mine)
    assert redated.case.jobs[1].date == "2031-05-04" and redated.differences[0].path == ("jobs", "b", "date")


def test_the_result_document_has_it():
    doc = document(built_player(), draws=16)
    assert [one["what"] for one in doc["job_record"]][:2] == ["hit", "ordered"]
