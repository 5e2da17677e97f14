"""A player over time, by hand: sessions in a picture and in words, and the job record."""

import random
import re
from dataclasses import replace

import pytest

from app import edits, link
from app.demo import demo_case
from app.phrases import copies, record
from app.phrases.over_time import sides
from app.players import new_case
from engine.documents.case import Conditions, Job, JobClub, Session, Shot
from engine.documents.merge import merge
from engine.documents.reading import read_case
from engine.swing.then_and_now import then_and_now
from tests.app.driver import Person

PLAYERS = "Players, share, files"
DAYS = (("2031-03-02", 0.0), ("2031-03-30", 0.01), ("2031-05-10", 0.12), ("2031-06-12", 0.13))
LESSONS = Job("n", "note", "2031-04-10", note="lessons: <b>shorter</b> backswing")
AROUND = (-4.0, -3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0, 4.0)  # [m]


def a_year(days=DAYS, **parts):
    """Four days at the range, 12 % longer after the lessons; invented."""
    case = demo_case()
    shots = tuple(
        Shot(club, carry_m=mean * (1 + gain) + off, club_speed_mps=30.0, session=f"s{n}")
        for n, (_, gain) in enumerate(days)
        for club, mean in (("7i", 120.0), ("9i", 100.0))
        for off in AROUND
    )
    sessions = tuple(Session(f"s{n}", date, place="range") for n, (date, _) in enumerate(days))
    return replace(case, shots=shots, sessions=sessions, jobs=(LESSONS,), **parts)


@pytest.fixture
def person():
    return Person(a_year()).go(PLAYERS).open("Then and now")


def drawn(person):
    """Marks of work, and the rows before and now with their means."""
    marks, before, _, now, _ = person.drawn("over-time")
    return marks["row"], dict(zip(before["row"], before["mean"], strict=True)), now["row"]


def test_one_session_is_not_shown_over_time():
    one = Person(demo_case()).go(PLAYERS)
    assert not one.sees("Then and now") and one.sees("Job record")
    two = replace(a_year(), shots=a_year().shots[:19])  # one ball of a second day
    assert Person(two).go(PLAYERS).sees("Then and now")


def test_each_session_is_a_row_with_what_lies_between(person):
    marks, before, now = drawn(person)
    assert marks == ["note, 10 Apr"] and now == ["12 Jun"]
    assert before == pytest.approx({"2 Mar": 120.0, "30 Mar": 121.2, "10 May": 134.4})
    assert list(person.figure("over-time").y_range.factors)[::-1] == [
        "2 Mar",
        "30 Mar",
        "note, 10 Apr",
        "10 May",
        "12 Jun",
    ]
    person.open("Show the numbers")
    head, *rows = person.rows("Carry, 7-iron by session")
    assert head == ["Session", "Side", "Balls", "Carry, 7-iron (m)", "Note"]
    assert [row[0] for row in rows] == [
        "2 Mar 2031",
        "30 Mar 2031",
        "10 Apr 2031",
        "10 May 2031",
        "12 Jun 2031",
    ]
    assert rows[0][1:3] == ["before", "9"] and rows[0][3].startswith("120 (") and rows[0][4] == "range"
    assert "lessons: <b>shorter</b> backswing" in rows[2][4], "as it was written, and as text"
    assert "<b>shorter" not in person.markup()


def test_before_and_after_the_lessons_clear_changes_are_told(person):
    person.choose("Now begins with", "session 3, 10 May 2031, range")
    text = person.text()
    assert (
        "Before: 2 sessions, 2 Mar 2031 to 30 Mar 2031. Now: 2 sessions, 10 May 2031 to 12 Jun 2031." in text
    )
    told, _, rest = text.partition("No clear change in:")
    assert "The 7-iron carries 135 m, 121 m before." in told.replace("\u00a0", " ")
    assert "club speed" in rest and "carry of the" not in rest.partition("From one day")[0]
    assert drawn(person)[2] == ["10 May", "12 Jun"]
    person.open("Every change")
    rows = {row[0]: row[1:] for row in person.rows("From before to now")[1:]}
    assert rows["carry, 7-iron"][-1] == "yes" and rows["club speed"][-1] == "no"
    assert rows["carry, 7-iron"][:2] == ["120.6 m", "135.0 m"]


def test_bars_are_said_to_hold_their_day_alone_and_verdicts_the_days_and_the_weather_too(person):
    """Two bars can part while no change is clear: only the verdict allows for days."""
    told = person.text()
    assert "; predictions and changes allow for that." in told
    assert "Each bar is a 90 % range for that day alone. A clear change also has to stand out from" in told
    days = person.state.fitting.then_and_now.days
    seven = [next(c for c in one.carries if c.club == "7i") for one in days]
    sd = (60 / 8) ** 0.5
    for (
        one
    ) in seven:  # the bar is as wide as nine balls leave it, by Student's t or nearer to the usual spread
        assert (one.carry_m.hi90 - one.carry_m.lo90) / 2 == pytest.approx(1.86 * sd / 3, rel=0.45)
    assert "from the ups and downs of days and of weather that was not noted." in told
    person.choose("Show", "Club speed")
    assert "from the ups and downs of days." in person.text()


def test_speed_spread_and_gaps_are_shown_too(person):
    assert person.options("Show") == ["Carry", "Club speed", "Spread", "Gap"]
    person.choose("Show", "Gap")
    assert drawn(person)[1]["2 Mar"] == pytest.approx(20.0)
    assert person.figure("over-time").xaxis[0].axis_label == "gap, 7-iron to 9-iron (m)"
    person.choose("Show", "Club speed").choose("Of", "9-iron")
    assert drawn(person)[1]["2 Mar"] == pytest.approx(30.0 * 3.6)
    person.choose("Show", "Spread")
    assert not person.sees("Of") and 1.5 < drawn(person)[1]["2 Mar"] < 3.5
    person.go("Measure").choose("Units", "in \u00b7 yd").go(PLAYERS).choose("Show", "Carry").choose(
        "Of", "7-iron"
    )
    assert drawn(person)[1]["2 Mar"] == pytest.approx(120.0 / 0.9144)


def test_another_player_begins_with_what_is_usual(person):
    person.choose("Now begins with", "session 2, 30 Mar 2031, range")
    person.state.add_player(replace(a_year(DAYS[:2]), player=edits.player("label")(new_case(), "Bea").player))
    assert person.chosen("Now begins with") == "the last session" and drawn(person)[2] == ["30 Mar"]


def test_two_sessions_of_the_last_day_are_now_and_nothing_is_offered_twice():
    """A lesson, and the balls that the student hit on the same day at home."""
    days = (("2031-03-02", 0.0), ("2031-03-30", 0.1), ("2031-03-30", 0.12))
    case = a_year(days)
    *early, home = case.sessions
    lesson = Job("l", "lesson", "2031-03-30", note="grip")
    case = replace(case, jobs=(lesson,), sessions=(*early, replace(home, place="", by="another device")))
    person = Person(case).go(PLAYERS).open("Then and now")
    assert "Before: 1 session, 2 Mar 2031. Now: 2 sessions, 30 Mar 2031." in person.text()
    first, *others = person.options("Now begins with")
    assert first == "the last day: lesson, 30 Mar 2031 (grip)"
    assert others == ["session 3, 30 Mar 2031, from another device"]
    person.choose("Now begins with", others[0])
    assert "Before: 2 sessions, 2 Mar 2031 to 30 Mar 2031. Now: 1 session, 30 Mar 2031." in person.text()


def test_sessions_of_one_day_alone_are_compared_with_each_other():
    person = Person(a_year((("2031-03-30", 0.0), ("2031-03-30", 0.1)))).go(PLAYERS).open("Then and now")
    assert "Before: the first session of 30 Mar 2031. Now: the one after it." in person.text()
    assert person.options("Now begins with") == ["the last session"]


def test_sessions_of_two_years_on_one_day_and_without_a_date_are_told_apart():
    days = (("2031-03-02", 0.0), ("2031-03-02", 0.0), ("2032-03-02", 0.0), (None, 0.0))
    person = Person(a_year(days)).go(PLAYERS).open("Then and now")
    assert list(person.figure("over-time").y_range.factors)[::-1] == [
        "no date",
        "2 Mar 2031",
        "2 Mar 2031 (2)",
        "note, 10 Apr 2031",
        "2 Mar 2032",
    ]


def test_sides_that_do_not_follow_each_other_are_named_by_their_own_dates():
    """Balls of a new club on a day between, by the ids of the sessions and not by their order."""
    found = then_and_now(a_year(), before=["s0", "s2"], after=["s1"])
    assert sides(found) == "Before: 2 sessions, 2 Mar 2031 to 10 May 2031. Now: 1 session, 30 Mar 2031."


def bent_in_april():
    """Nine clubs were bent between the second day and the third; two of them were hit before and since."""
    case, became = a_year(), {"7i": "was-7", "9i": "was-9"}
    worked = [c for c in case.bag if c.family in ("iron", "wedge")]
    was = tuple(
        replace(case.club(i), id=old, name=f"{case.club(i).name} (before)", became=i, loft_deg=40.0)
        for i, old in became.items()
    )
    shots = tuple(replace(s, club=became[s.club]) if s.session in ("s0", "s1") else s for s in case.shots)
    job = Job("b", "built", "2031-04-20", tuple(JobClub(c.id, c.name) for c in worked))
    return replace(case, bag=(*case.bag, *was), shots=shots, jobs=(job,)), [c.name for c in worked]


def test_all_clubs_that_were_worked_on_are_named_and_what_they_were_by_the_day_of_the_work():
    case, names = bent_in_april()
    person = Person(case).go(PLAYERS).open("Then and now").open("Job record")
    text = person.text()
    said = text.partition("In between, work was done on the ")[2].partition(":")[0]
    assert len(names) > 5 and all(name in said for name in names) and "before" not in said
    assert "7-iron before the work of 20 Apr 2031" in person.options("Of") and "(before)" not in text
    assert [
        "2 Mar 2031",
        "Hit: 18 balls with 7-iron and 9-iron before the work of 20 Apr 2031. range",
    ] in person.rows("Job record")


# the job record


@pytest.fixture
def work():
    """Somebody with a set to build of clubs that were measured, so that orders are firm."""
    case = edits.as_measured([c.id for c in demo_case().bag])(demo_case())
    return Person(case).go("Build").choose("Set to build", "Single length, 91.4 cm")


def test_an_order_and_a_build_are_noted_by_date(work):
    today = record.day(edits.iso_today())
    work.press("Note as ordered today").press("Note as ordered today")
    assert [job.what for job in work.case.jobs] == ["ordered"] and not work.state.refusal, "noted once"
    ordered = work.case.jobs[0]
    work.press("It is built: make this the present bag")
    if work.sees("They came out as planned: use this as the present bag"):
        work.press("They came out as planned: use this as the present bag")
    assert [job.what for job in work.case.jobs] == ["ordered", "built"]
    built = {c.id: c for c in work.case.jobs[1].clubs}
    assert len(built) > len(ordered.clubs) > 0, "the sheet orders no work on a head that has to be found"
    for club in (*ordered.clubs, *built.values()):
        now = work.case.club(club.id)
        for name in ("loft_deg", "length_m", "lie_deg", "head_kg"):
            assert getattr(club, name) in (None, pytest.approx(getattr(now, name), abs=0.005)), club
    assert any(c.length_m for c in built.values()) and {c.id for c in ordered.clubs} < {*built}
    work.go(PLAYERS).open("Job record")
    rows = work.rows("Job record")[1:]
    assert [row[0] for row in rows] == ["\u2013", today, today]
    assert rows[1][1].startswith("Ordered: ") and rows[2][1].startswith("Built: ") and "length" in rows[2][1]
    work.press("Undo")
    assert [job.what for job in work.case.jobs] == ["ordered"]


def test_what_was_measured_at_the_bench_is_noted_with_the_build(work):
    case = work.state.shown
    chosen = work.state.fitting.planned[0]
    measured = edits.measured(chosen.id, "loft_deg")(case, chosen.loft_deg + 0.25)
    built = edits.built(measured, work.state.fitting.planned)
    assert [job.what for job in built.jobs] == ["measured", "built"]
    (club,) = built.jobs[0].clubs
    assert club.loft_deg == pytest.approx(chosen.loft_deg + 0.25, abs=0.005) and club.length_m is None


def test_a_line_is_redated_noted_and_taken_out(work):
    work.press("Note as ordered today").go(PLAYERS).open("Job record")
    work.type("Its date", "3 May 2026").type("Its note", "by <i>post</i>")
    assert (work.case.jobs[0].date, work.case.jobs[0].note) == ("2026-05-03", "by <i>post</i>")
    row = work.rows("Job record")[-1]
    assert row[0] == "3 May 2026" and row[1].endswith("by <i>post</i>") and "<i>post" not in work.markup()
    work.type("Its date", "3/5/26")
    assert work.sees("Its date can be 5 Mar 2026 or 3 May 2026: write the month in letters")
    assert work.case.jobs[0].date == "2026-05-03"
    work.type("Its date can be", "3 May 2026")
    work.press("Remove this entry")
    assert work.case.jobs == () and not work.sees("Its note")


def test_a_line_that_only_the_other_copy_has_is_named_by_its_day():
    mine = demo_case()
    theirs = replace(mine, jobs=(Job("b", "built", "2031-05-03", (JobClub("7i", "7-iron", 0.94),)),))
    (new,) = merge(mine, theirs).differences
    assert copies.where(new, (mine, theirs), "metric") == "Build of 3 May 2031"
    told = copies.value(new, new.theirs, (mine, theirs), "metric").replace("\u00a0", " ")
    assert told == "Built: 7-iron (length 94.0 cm)"


def test_a_note_is_added_today(work):
    work.go(PLAYERS).open("Job record").press("Add to the record")
    assert work.case.jobs == ()
    work.type("Text", " Lessons began ").press("Add to the record")
    (job,) = work.case.jobs
    assert (job.what, job.note, job.date) == ("note", "Lessons began", edits.iso_today())
    assert work.value("Text") == ""


def test_a_lesson_is_an_entry_with_its_day_and_now_can_begin_with_it(person, monkeypatch):
    """In a year of four sessions a lesson between the second and the third; one after the last splits nothing."""
    monkeypatch.setattr("app.screens.day.iso_today", lambda: "2031-12-01")
    person.open("Job record").choose("New entry", "Lesson")
    person.type("Date", "2 Apr 2031").type("Text", "grip <b>weaker").press("Add to the record")
    lesson = person.case.jobs[-1]
    assert (lesson.what, lesson.date, lesson.note) == ("lesson", "2031-04-02", "grip <b>weaker")
    assert ["2 Apr 2031", "Lesson: grip <b>weaker"] in person.rows("Job record")
    assert person.value("Date") == record.day(edits.iso_today()), "the next one is of today"
    assert read_case(person.case.to_doc()) == person.case
    person.choose("Now begins with", "lesson, 2 Apr 2031 (grip <b>weaker)")
    assert "Before: 2 sessions, 2 Mar 2031 to 30 Mar 2031. Now: 2 sessions, 10 May 2031" in person.text()
    assert "lesson, 2 Apr" in drawn(person)[0]
    options = person.options("Now begins with")
    person.type("Date", "1 Dec 2031").type("Text", "the last one").press("Add to the record")
    assert person.options("Now begins with") == options and "<b>weaker" not in person.markup()


def test_what_lies_between_stands_in_one_order_in_the_record_and_in_then_and_now():
    """Hit with the old clubs, ordered, built and hit again on one day; the last of these was noted first."""
    case, _ = bent_in_april()
    first, old, new, last = (
        replace(one, date="2031-04-20") if one.id in ("s1", "s2") else one for one in case.sessions
    )
    jobs = (*case.jobs, Job("o", "ordered", "2031-04-20", (JobClub("7i"),)))
    case = replace(case, sessions=(new, first, last, old), jobs=jobs)
    person = Person(case).go(PLAYERS).open("Then and now").open("Job record").open("Show the numbers")
    told = [row[1].partition(":")[0] for row in person.rows("Job record")[1:]]
    assert told == ["Hit", "Hit", "Ordered", "Built", "Hit after the build", "Hit after the build"]
    rows = person.rows("Carry, 7-iron by session")[1:]
    shown = [row[1] or row[4].partition(".")[0] for row in rows]
    assert shown == ["before", "before", "Ordered", "Built", "now", "now"]


def test_the_record_as_a_table_for_a_spreadsheet():
    case = a_year(swing=demo_case().swing)
    case = replace(
        case, conditions=Conditions(), jobs=(*case.jobs, Job("x", "note", "2031-04-11", note="=1+1"))
    )
    person = Person(case).go(PLAYERS).open("Job record").press("Save the record as CSV")
    saved = person.said("download")[-1]
    lines = saved["text"].split("\r\n")
    assert saved["name"].endswith("-record.csv") and lines[0].startswith("date,what,club,length (cm)")
    assert lines[1] == "2031-03-02,Hit,7-iron,,,,,,9,range,"  # of the day's 18
    assert ",'=1+1" in saved["text"]


def test_the_record_is_printed_with_the_sheet_if_asked(work):
    assert "Job record" not in work.markup()
    work.press("Note as ordered today")
    find = [w for w in work.seen() if getattr(w, "label", "") == "Print the job record with the sheet"]
    find[0].value = True
    assert '<div class="paper">' in work.markup() and work.rows("Job record")[-1][1].startswith("Ordered: ")


def test_a_link_too_long_leaves_the_record_out_and_says_so():
    chance = random.Random(3)
    note = "".join(chance.choice("abcdefghijklmnopqrstuvwxyz ") for _ in range(3000))
    case = edits.noted(demo_case(), "note", note=note)
    made = link.make(case)
    assert len(made.hash) <= link.LONG and "without the job record" in made.notes[0]
    opened = link.read(made.hash)
    assert opened.case.jobs == () and "without the job record" in opened.notes[0]
    assert len(opened.case.shots) == len(case.shots)
    kept = edits.noted(demo_case(), "note", note="short")
    assert link.read(link.make(kept).hash).case.jobs == kept.jobs


def test_the_balls_beside_a_figure_are_those_it_is_of(person):
    person.open("Show the numbers")

    def balls(caption):
        return {row[2] for row in person.rows(caption)[1:] if row[2]}

    assert balls("Carry, 7-iron by session") == {"9"}
    person.choose("Show", "Gap")
    assert balls("Gap, 7-iron to 9-iron by session") == {"18"}
    person.choose("Show", "Spread")
    assert balls("Spread of carry by session") == {"18"}


def test_a_carry_that_was_brought_to_standard_air_says_so_and_by_how_much():
    case = a_year()
    windy = replace(case.sessions[1], conditions=Conditions(wind_mps=4.0))
    person = Person(replace(case, sessions=(case.sessions[0], windy, *case.sessions[2:]))).go(PLAYERS)
    person.open("Then and now").open("Show the numbers")
    notes = [row[4] for row in person.rows("Carry, 7-iron by session")[1:]]
    assert notes[0] == "range"
    assert re.fullmatch(r"Adjusted to standard air: \+\d+(\.\d)?\s?%\. range", notes[1]), notes[1]


def test_the_table_of_changes_says_what_its_ranges_are(person):
    person.open("Every change")
    said = person.text()
    assert "A change is clear where zero lies outside its range; all these ranges hold at once" in said
    for row in person.rows("From before to now")[1:]:
        low, high = re.search(r"\(([^ ]+) to ([^ )]+)\)", row[3]).groups()
        assert (row[4] == "yes") == (low[0] == high[0]), row


def test_two_sessions_of_one_day_are_told_apart_and_balls_gripped_down_are_no_comparison():
    person = Person()
    for session in ("a", "b"):
        shots = tuple(Shot("7i", 140.0 + n, session=session) for n in range(3))
        one = Session(session, "2026-11-20")
        person.state.change(
            lambda c, one=one, shots=shots: replace(c, sessions=(*c.sessions, one), shots=(*c.shots, *shots)),
            "balls",
        )
    person.go("Players, share, files").open("Then and now")
    assert "Before: the first session of 20 Nov 2026. Now: the one after it." in person.text()
    gripped = tuple(replace(s, grip_down_m=0.02) for s in person.case.shots)
    assert person.state.change(lambda c: replace(c, shots=gripped), "grip")
    assert "There are no carries to compare" in person.text() and not person.sees("Now begins with")
