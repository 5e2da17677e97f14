"""Balls of days before a build belong to the clubs as they were, however they come in; later ones to the new clubs."""

from collections import Counter
from dataclasses import replace

import pytest

from app import edits, link, sessions
from app.demo import demo_case
from app.players import new_case
from engine.documents.case import Measured, Session, Shot
from engine.fitting.fitting import Fitting
from engine.fitting.former import built_on, ended
from engine.sets.plan import BUILT
from tests.app.driver import Person, take_in, with_balls
from tests.app.test_come_home import Device

PLAYERS = "Players, share, files"


@pytest.fixture
def coach(clock):
    """The demo's single-length set was built on 3 May; it is June by now."""
    person = take_in(Person(demo_case()))
    clock("2031-06-01")
    return person.go("Hit")


def paste(person, text):
    return person.open("Paste, or open").type("Balls as text", text).press("Show how it is read")


def clubs(person):
    """How many balls each club has on each day."""
    days = {one.id: one.date for one in person.case.sessions}
    return Counter((s.club, days.get(s.session)) for s in person.case.shots if s.session)


TEXT = (
    "Date,Club,Carry (m)\n2031-04-12,5i,150\n2031-04-12,5i,151\n2031-04-12,7i,140\n2031-05-20,5i,146\n"
    "2031-05-03,5i,147\n"
)


def test_balls_of_a_file_go_to_the_clubs_as_they_were_on_their_days_and_that_is_said(coach):
    assert coach.case.club("5i-old").became == "5i" and "7i-old" not in {c.id for c in coach.case.bag}
    paste(coach, TEXT)
    told = (
        "Hit before the build of 3 May 2031: 2 balls, counted with the clubs as they were.",
        "Hit on the day of the build, 3 May 2031: 1 ball, taken as hit with the clubs as built.",
    )
    assert all(words in coach.text() for words in told) and not coach.sees("Before or after the build")
    coach.press("Add these balls")
    assert all(words in coach.text() for words in told)
    assert clubs(coach) == {
        ("5i-old", "2031-04-12"): 2,
        ("7i", "2031-04-12"): 1,
        ("5i", "2031-05-20"): 1,
        ("5i", "2031-05-03"): 1,
    }
    paste(coach, TEXT)
    assert "All of these balls are here already." in coach.text()


def test_a_club_that_nobody_had_hit_before_it_was_built_is_kept_as_it_was_once_a_ball_tells_of_it(coach):
    before = demo_case().club("6i")
    assert "6i-old" not in {c.id for c in coach.case.bag} and built_on(coach.case, "6i") == ("2031-05-03",)
    paste(coach, "Date,Club,Carry (m)\n2031-04-12,6i,150\n2031-04-13,6i,150\n").press("Add these balls")
    assert clubs(coach) == {("6i-old", "2031-04-12"): 1, ("6i-old", "2031-04-13"): 1}
    old = coach.case.club("6i-old")
    assert old.became == "6i" and "length_m" in dict(old.estimated)  # nobody noted how long it was
    assert old.length_m == pytest.approx(before.length_m, abs=0.02) and old.loft_deg == pytest.approx(
        before.loft_deg, abs=1.5
    )
    assert coach.case.club("6i") not in (old, before) and ended(coach.case)["6i-old"] == "2031-05-03"


def test_balls_without_a_day_are_asked_about(coach):
    paste(coach, "5i 150 151 149")
    assert not coach.sees("Before or after the build")  # today's
    coach.choose("Hit on", "an earlier day, no date")
    not_known = "Not known whether hit before or after the build: 3 balls, taken as hit after it."
    assert not_known in coach.text()
    coach.choose("Before or after the build", "before: the clubs as they were")
    assert "3 balls, taken as hit before it." in coach.text()
    coach.press("Add these balls")
    assert {s.club for s in coach.case.shots[-3:]} == {"5i-old"}


def test_after_the_build_older_balls_are_none_of_the_new_clubs(coach):
    coach.go("Play").open("After the build: hit again and compare")
    coach.type("Shots with the new clubs", TEXT).press("Show how it is read").press("Add these balls")
    assert ("5i-old", "2031-04-12") in clubs(coach) and ("5i", "2031-05-20") in clubs(coach)
    old = [s for s in coach.case.shots if s.club == "5i-old" and s.session]
    assert len(old) == 2 and all(s.layout is None for s in old)


def test_a_session_that_gets_another_day_takes_its_balls_to_the_clubs_of_that_day(coach):
    paste(coach, "5i 150 151 149").press("Add these balls")
    coach.open("Today").type("Date", "20 Apr 2031")
    assert clubs(coach) == {("5i-old", "2031-04-20"): 3}
    assert coach.said("done")[-1]["text"] == "3 balls put to the clubs as they were on that day."
    coach.type("Date", "20 May 2031")
    assert clubs(coach) == {("5i", "2031-05-20"): 3}


def test_balls_moved_to_another_session_and_a_build_of_another_day(coach):
    paste(coach, TEXT).press("Add these balls")
    coach.page.here.day.fold.toggle()
    coach.choose("Session", next(n for n in coach.options("Session") if n.startswith("20 May")))
    coach.choose("Move its balls to", next(n for n in coach.options("Move its balls to") if "12 Apr" in n))
    coach.press("Move these balls")
    assert clubs(coach)["5i-old", "2031-04-12"] == 3
    coach.press("Undo")
    coach.go(PLAYERS).open("Job record")
    coach.choose("Entry to change", "3 May 2031: Built").type("Its date", "1 Apr 2031")
    assert clubs(coach)["5i", "2031-04-12"] == 2  # built in April already
    coach.type("Its date", "25 May 2031")
    assert clubs(coach)["5i-old", "2031-05-20"] == 1 == clubs(coach)["5i-old", "2031-05-03"]


def test_balls_of_two_builds_go_to_what_was_in_hand_between_them(coach, clock):
    shorter = [replace(c, length_m=c.length_m - 0.012) for c in coach.case.carried if c.id == "5i"]
    clock("2031-07-01")
    assert coach.state.change(lambda case: edits.built(case, shorter), "built")
    assert built_on(coach.case, "5i") == ("2031-05-03", "2031-07-01")
    paste(coach, TEXT + "2031-06-15,5i,144\n2031-07-01,5i,143\n").press("Add these balls")
    found = clubs(coach)
    assert found["5i-old", "2031-04-12"] == 2 and found["5i", "2031-07-01"] == 1
    (between,) = {club for (club, day), _ in found.items() if day in ("2031-06-15", "2031-05-20")}
    assert between not in ("5i", "5i-old") and found[between, "2031-05-03"] == 1
    assert ended(coach.case) | {"5i-old": "2031-05-03", between: "2031-07-01"} == ended(coach.case)
    first = next(c for c in Person(demo_case()).case.bag if c.id == "5i")
    assert coach.case.club(between).length_m != pytest.approx(first.length_m, abs=0.01)


def test_balls_of_a_student_from_before_the_build_go_to_the_clubs_as_they_were(clock):
    """The student hit on 20 April and on 10 May, without a word of the build on 3 May."""
    clock("2031-04-01")
    home, away = Device(demo_case()), Device()
    home.visit()
    away.visit(home.send())
    for day, carry in (("2031-04-20", 150.0), ("2031-05-10", 147.0)):
        clock(day)
        away.person.go("Hit").tap("5i").type("Carry", str(carry)).press("Add ball")
    back = away.send()
    clock("2031-05-03")
    home.visit()
    take_in(home.person)
    home.leave()
    clock("2031-06-01")
    person = home.visit(back)
    person.press("Look first")
    listed = [row[0] for row in person.rows("New balls (2)")[1:]]
    assert listed == ["150.0 m with 5-iron (before)", "147.0 m with 5-iron"]
    person.press("Add to mine")
    assert clubs(person) == {("5i-old", "2031-04-20"): 1, ("5i", "2031-05-10"): 1}
    home.leave()
    assert "has come back" not in home.visit(back).text()
    person = away.visit(home.send())
    assert "of a ball" not in person.text()
    person.press("Add to mine")
    assert clubs(person) == clubs(home.person)


def test_counts_of_a_day_of_building_tell_before_and_after_apart(clock):
    person = Person(demo_case()).go("Hit")
    person.tap("5i").type("Carry", "150").press("Add ball").type("Carry", "151").press("Add ball")
    take_in(person).go("Hit").tap("5i").type("Carry", "145").press("Add ball")
    rows = [row[1] for row in person.go(PLAYERS).open("Job record").rows("Job record")[1:]]
    assert "Hit: 2 balls with 5-iron before the work of 3 May 2031" in rows
    assert "Hit after the build: 1 ball with 5-iron" in rows


# where a player was sent to


def test_balls_added_elsewhere_are_of_a_session_of_their_own(clock):
    case = with_balls(edits.player("label")(new_case(), "Anna"), ())
    case = sessions.add(case, (Shot("7i", 140.0),))
    case = sessions.told("310503", "place")(case, "Coach's bay")
    case = sessions.weather("310503", "temperature_c")(case, 8.0)
    home, away = Device(replace(case, conditions=replace(case.conditions, indoors=True))), Device()
    home.visit()
    person = away.visit(home.send()).go("Hit")
    person.open("Today").type("Place", "Home range").type("Temperature", "25")
    person.tap("7i").type("Carry", "131").press("Add ball")
    paste(person, "2031-05-03 9i 110\n").press("Add these balls")
    theirs, mine = (person.case.sessions[n] for n in (1, 0))
    assert (theirs.place, theirs.date, theirs.by) == ("Home range", "2031-05-03", "another device")
    assert sessions.air(person.case, theirs.id).temperature_c == 25
    assert not sessions.air(person.case, theirs.id).indoors and mine.place == "Coach's bay"
    assert [s.session == theirs.id for s in person.case.shots] == [False, True, True]
    assert "“Anna” was sent to you. Not sent back yet: 2 balls." in person.go("Play").text()
    back = away.send()
    coach = home.visit(back)
    assert "has come back with 2 new balls from another device." in coach.text()
    coach.press("Add to mine").go("Hit").tap("7i").type("Carry", "142").press("Add ball")
    assert coach.case.shots[-1].session == mine.id
    assert next(s for s in coach.case.sessions if s.id == mine.id) == mine  # as it was
    coach.open("Today")
    assert "Today, 3 May, Home range, from another device" in [
        row[0].replace("\u00a0", " ") for row in coach.rows("Sessions")[1:]
    ]


def test_a_club_rebuilt_off_the_order_counts_as_built_by_what_the_bench_measured(clock):
    """The sheet orders nothing where a head has to be found: those that were found make other clubs all the same."""
    rebuilt = ("5i", "6i", "8i", "9i", "pw")
    hit = Counter(s.club for s in demo_case().shots)
    person = Person(demo_case()).go("Build")
    person.choose("Set to build", next(n for n in person.options("Set to build") if "ingle" in n))
    here = person.case.wants.layout
    bench = [Measured(i, here, length_m=0.94, lie_deg=62.5, head_kg=0.268) for i in rebuilt]
    heavier = Measured("dr", here, head_kg=0.195)  # by a gram: the usual head, weighed at last
    assert person.state.change(lambda case: replace(case, bench=(*bench, heavier)), "measured")
    person.press("It is built: make this the present bag").press("Leave those clubs as they are")
    case = person.case
    (job,) = [one for one in case.jobs if one.what == "built"]
    assert [c.id for c in job.clubs] == list(rebuilt)
    assert all((c.length_m, c.lie_deg, c.head_kg) == (0.94, 62.5, 0.268) for c in job.clubs)
    now = Counter(s.club for s in case.shots)
    for club in rebuilt:
        assert now[club] == 0 and now[f"{club}-old"] == hit[club]
        assert not hit[club] or case.club(f"{club}-old").length_m == demo_case().club(club).length_m
    assert now["dr"] == hit["dr"] and case.club("dr").head_kg == 0.195


def test_balls_hit_after_the_build_under_hit_are_named_where_those_noted_for_it_stand(coach):
    paste(coach, "Date,Club,Carry (m)\n2031-05-20,5i,150\n2031-05-20,5i,151\n").press("Add these balls")
    coach.go("Play").open("After the build: hit again and compare")
    told = "2 balls hit with these clubs since the build are under Hit and count in the prediction."
    assert "None noted here yet." in coach.text() and told in coach.text()
    assert not coach.sees("Delete the shots after the build")
    coach.type("Shots with the new clubs", "5i 150 152").press("Show how it is read").press("Add these balls")
    coach.press("Delete the shots after the build")
    kept = "Delete 2 shots after the build? Those compared here are deleted, under Hit too; all others stay."
    assert kept in coach.text()
    coach.press("Yes, delete")
    assert told in coach.text() and Counter(s.club for s in coach.case.shots)["5i"] == 2


FEW_OF_EACH = "8i 104 106\nPW 80 82 81\n9i 95 99"


def hit_since(coach):
    """Three clubs hit with the built set under Hit, as text, and the fold of the re-test opened."""
    paste(coach, FEW_OF_EACH).press("Add these balls")
    return coach.go("Play").open("After the build: hit again and compare")


def test_a_text_of_few_balls_of_each_club_is_known_again_as_a_whole(coach):
    hit_since(coach)
    before = coach.case.shots
    coach.type("Shots with the new clubs", FEW_OF_EACH).press("Show how it is read")
    assert "All of these balls are here already." in coach.text() and not coach.sees("Add these balls")
    assert coach.case.shots == before


def test_balls_hit_since_the_build_can_be_compared_with_what_was_predicted_without_them(coach):
    before = Fitting(coach.case, 64)
    hit_since(coach)
    since, now = coach.case, Fitting(coach.case, 64)
    assert now.retest.clubs == ()
    coach.press("Compare with the balls hit since the build")
    assert [s.layout for s in coach.case.shots[-7:]] == [BUILT] * 7
    compared = Fitting(coach.case, 64)
    told = {c.club: c for c in compared.retest.clubs}
    assert {c: one.balls for c, one in told.items()} == {"8i": 2, "pw": 3, "9i": 2}
    without = before.swing.predict([before.present], before.air)[0]
    for n, club in enumerate(before.present):
        if club.id in told:  # as foretold before they were hit
            assert told[club.id].predicted.mean == pytest.approx(float(without.carry[:, n].mean()), rel=0.02)
    # they count on the card as before
    assert compared.swing.posterior.theta == pytest.approx(now.swing.posterior.theta)
    assert [row[1] for row in coach.rows("After the build")[1:]] == ["2", "2", "3"]
    assert not coach.sees("Compare with the balls hit since the build")
    assert coach.said("done")[-1]["text"] == "7 balls compared with the prediction."
    coach.press("Undo")
    assert coach.case == since and coach.sees("Compare with the balls hit since the build")


def test_single_balls_that_are_alike_by_chance_stay_new():
    day = Session("a", "2031-05-03")
    rows = {"7i": (139.0, 141.0, 138.0, 140.0), "8i": (128.0, 130.0, 127.0), "9i": (118.0, 121.0)}
    there = tuple(Shot(club, c, session="a") for club, carries in rows.items() for c in carries)
    case = replace(new_case(), sessions=(day,), shots=there)

    def found(*balls):
        return sessions.here_already(case, tuple(Shot(*b) for b in balls), [""] * len(balls))

    assert found(("7i", 141.0), ("8i", 130.0), ("9i", 121.0)) == set()  # one of many of each
    assert found(("7i", 141.0), ("7i", 138.0), ("9i", 117.0), ("9i", 119.0)) == set()
    assert found(("9i", 118.0), ("9i", 121.0)) == set()  # too few of a text
    assert found(("9i", 118.0), ("9i", 121.0), ("7i", 139.0), ("7i", 141.0)) == {0, 1, 2, 3}
    other = replace(there[-1], session="b")  # its balls are of two days
    case = replace(case, sessions=(day, Session("b", "2031-05-04")), shots=(*there[:-1], other))
    assert found(("9i", 118.0), ("9i", 121.0), ("7i", 139.0), ("7i", 141.0)) == {0, 2, 3}
    assert found(("9i", 118.0), ("9i", 121.0), ("7i", 141.0)) == set()
    means = tuple(
        Shot(club, c, session="a", balls=10.0) for club, c in (("7i", 140.0), ("8i", 129.0), ("9i", 120.0))
    )
    case = replace(case, sessions=(day,), shots=means)  # one mean of each club
    again = tuple(replace(s, session=None) for s in means)
    assert sessions.here_already(case, again, [""] * 3) == {0, 1, 2}


def after_a_build(clock):
    """A coach who built on 3 May, and a student who got the link without the job record, as one that would be too long
    leaves it out, and who notes a ball without a day."""
    clock("2031-05-03")
    home, away = Device(demo_case()), Device()
    home.visit()
    take_in(home.person)
    home.send()
    clock("2031-06-01")
    person = away.visit(link.packed(replace(home.person.case, jobs=()))).go("Hit")
    paste(person, "5i 147").choose("Hit on", "an earlier day, no date").press("Add these balls")
    return home, away


def test_a_ball_without_a_day_of_a_student_whose_link_left_the_job_record_out_is_of_the_clubs_as_built(clock):
    home, away = after_a_build(clock)
    back = away.send()
    person = home.visit(back)
    person.press("Look first")
    assert [row[0] for row in person.rows("New balls (1)")[1:]] == ["147.0 m with 5-iron"]
    person.press("Add to mine")
    assert clubs(person)["5i-old", None] == 0 and [s.club for s in person.case.shots if s.by] == ["5i"]


def test_so_it_is_where_the_link_is_too_old_to_be_remembered(clock):
    home, away = after_a_build(clock)
    back = away.send()
    home.visit()
    for carry in (131, 132, 133, 134):
        home.add(carry, club="7i")
        home.send()
        home.visit()
    person = home.visit(back)
    person.press("Add to mine")
    assert [s.club for s in person.case.shots if s.by] == ["5i"]
    assert clubs(person)["5i-old", None] == 0


@pytest.mark.parametrize("known", ["session", "ball"])
def test_a_ball_without_a_day_that_is_told_to_be_of_the_set_as_built_stays_with_it(clock, known):
    """Even if the copy knows nothing of the build."""
    clock("2031-04-01")
    home, away = Device(demo_case()), Device()
    home.visit()
    away.visit(home.send())
    day = Session("n1", layout=BUILT if known == "session" else None)
    ball = Shot("5i", 147.0, session="n1", layout=BUILT if known == "ball" else None)
    plain = Shot("5i", 146.0, session="n2")
    state = away.person.state
    assert state.change(
        lambda c: replace(c, sessions=(*c.sessions, day, Session("n2")), shots=(*c.shots, ball, plain)),
        "balls",
    )
    back = away.send()
    home.visit()
    take_in(home.person)
    home.leave()
    person = home.visit(back)
    person.press("Add to mine")
    assert {s.carry_m: s.club for s in person.case.shots if s.by} == {147.0: "5i", 146.0: "5i-old"}


def test_a_ball_without_a_day_from_before_a_build_of_which_a_link_told_no_record_is_of_the_clubs_as_they_were(
    clock,
):
    clock("2031-04-01")
    home, away = Device(demo_case()), Device()
    home.visit()
    away.visit(home.send())
    paste(away.person.go("Hit"), "5i 147").choose("Hit on", "an earlier day, no date").press(
        "Add these balls"
    )
    away.leave()
    clock("2031-05-03")
    home.visit()
    take_in(home.person)
    home.send()
    person = away.visit(link.packed(replace(home.person.case, jobs=())))
    person.press("Add to mine")
    assert [s.club for s in person.case.shots if s.by] == ["5i-old"]
    back = away.send()
    home.visit(back).press("Add to mine")
    assert [s.club for s in home.person.case.shots if s.by] == ["5i-old"]
    assert Counter(s.club for s in home.person.case.shots) == Counter(s.club for s in person.case.shots)
