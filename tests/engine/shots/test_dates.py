"""Days as people write them: read where only one day can be meant, asked about where two can, never guessed."""

from datetime import date

import pytest

from engine.shots.dates import is_day, readings
from engine.shots.table import ALL, TableError, read_table

TODAY = date(2026, 11, 29)
ISO_8601 = ("2026-10-12", "20261012")  # calendar dates, extended and basic format (ISO 8601:2004, 4.1.2.2)


@pytest.mark.parametrize(
    "text",
    [
        *ISO_8601,
        "2026/10/12",
        "2026.10.12",
        "12.10.2026",
        "12.10.26",
        "12 Oct 2026",
        "12. Oktober 2026",
        "Monday, 12 October 2026",
        "12th of October 2026",
        "Oct 12, 2026",
        "12-Oct-26",
        "12 octobre 2026",
        "12 de octubre de 2026",
        "2026年10月12日",
        "12 Oct",
        "October 12",
    ],
)
def test_a_day_that_can_be_read_in_one_way_is(text):
    assert set(readings(text, TODAY).values()) == {date(2026, 10, 12)}
    assert is_day(text) and is_day(f"{text} 10:15")


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("3/11/2026", {date(2026, 11, 3), date(2026, 3, 11)}),
        ("3-11-2026", {date(2026, 11, 3), date(2026, 3, 11)}),
        ("13/10/2026", {date(2026, 10, 13)}),
        ("10/13/2026", {date(2026, 10, 13)}),
        ("25-11-26", {date(2026, 11, 25), date(2025, 11, 26)}),
        ("5/5/2026", {date(2026, 5, 5)}),
        ("24 Dec", {date(2025, 12, 24)}),  # there has been none this year
    ],
)
def test_every_day_that_a_text_may_mean_is_kept(text, days):
    assert set(readings(text, TODAY).values()) == days


@pytest.mark.parametrize(
    "text", ["31.02.2026", "2026-13-01", "32/13/2026", "30 Feb 2026", "1.1.1066", "0000-00-00"]
)
def test_a_day_that_is_in_no_calendar_is_none(text):
    assert readings(text, TODAY) == {}


@pytest.mark.parametrize(
    "text", ["morning", "Session 2", "7i 150", "12.5", "150 148 152", "3 irons", "", "46000.5"]
)
def test_what_is_not_written_as_a_day_is_not_one(text):
    assert readings(text, TODAY) is None and not is_day(text)


def read(*days, **more):
    rows = "".join(f"{day},7i,{130 + n}\n" for n, day in enumerate(days))
    return read_table(f"Date,Club,Carry (m)\n{rows}", today=TODAY, **more)


def test_a_date_column_with_times_gives_each_ball_its_day():
    found = read("2026-10-12 10:12", "2026-10-12T10:13:05+02:00", "20/10/2026 3:05 PM", "3 Nov 2026")
    assert found.days == ("2026-10-12", "2026-10-12", "2026-10-20", "2026-11-03")
    assert [s["carry_m"] for s in found.shots] == [130, 131, 132, 133] and not found.left_out


def test_the_day_or_the_month_first_is_asked_and_nothing_taken_until_it_is_said():
    found = read("03/11/2026", "05/10/2026", "05/05/2026")
    (asked,) = [q for q in found.needs if q.key == "dates"]
    assert (asked.taken, asked.options, asked.about) == ("", ("dmy", "mdy"), "03/11/2026")
    assert found.days == ("2026-05-05",) and [x.reason for x in found.left_out] == ["date_open"] * 2
    assert read("03/11/2026", "05/10/2026", dates="dmy").days == ("2026-11-03", "2026-10-05")
    assert read("03/11/2026", "05/10/2026", dates="mdy").days == ("2026-03-11", "2026-05-10")


@pytest.mark.parametrize(
    ("other", "days"),
    [
        ("20/10/2026", ("2026-11-03", "2026-10-20")),  # there is no twentieth month
        ("01/12/2026", ("2026-03-11", "2026-01-12")),  # the first of December is still to come
    ],
)
def test_one_date_that_tells_the_order_tells_it_for_all_of_the_file(other, days):
    found = read("03/11/2026", other)
    assert found.days == days and not [q for q in found.needs if q.key == "dates"]


def test_wrong_and_future_days_are_left_out_with_their_row():
    found = read("2026-10-12", "31.02.2026", "2026-13-40", "2027-01-05", "2026-11-30")
    assert found.days == ("2026-10-12", "2026-11-30")  # it is tomorrow elsewhere on earth already
    assert [(x.line, x.reason, x.about) for x in found.left_out] == [
        (3, "date_wrong", "31.02.2026"),
        (4, "date_wrong", "2026-13-40"),
        (5, "date_ahead", "2027-01-05"),
    ]


def test_days_are_taken_all_together_or_one_by_itself():
    days = "2026-10-12", "2026-10-20"
    assert read(*days).days == read(*days, day=ALL).days == days
    assert read(*days, day="2026-10-20").days == ("2026-10-20",)
    assert [q.taken for q in read(*days).needs if q.key == "day"] == [ALL]


def test_sessions_that_are_only_numbered_are_asked_about():
    assert read("Session 1", "Session 2").shots == ()
    assert read("Session 1", "Session 2", day=ALL).days == ("Session 1", "Session 2")


def test_a_date_above_balls_dates_them_in_notes_and_in_tables():
    found = read_table("12 Oct 2026\n7i 150 148\n20.10.2026\n7i 151\n9i 120", length_unit="m", today=TODAY)
    assert found.days == ("2026-10-12", "2026-10-12", "2026-10-20", "2026-10-20")
    assert [x.reason for x in found.left_out] == ["day_alone"] * 2
    table = "Club,Carry (m)\n12 Oct 2026\n7i,150\nDate: 20/10/2026\n7i,151\n"
    assert read_table(table, today=TODAY).days == ("2026-10-12", "2026-10-20")
    assert read_table("3 May 2026\nClub,Carry (m)\n7i,150\n", today=TODAY).days == ("2026-05-03",)


def test_a_year_that_is_not_written_is_said():
    found = read("12 Oct", "24 Dec")
    assert found.days == ("2026-10-12", "2025-12-24")
    assert [(f.about, f.count) for f in found.findings if f.code == "year_assumed"] == [
        ("12 Oct", 2026),
        ("24 Dec", 2025),
    ]


def test_an_order_that_is_none_is_refused():
    with pytest.raises(TableError, match="`dates`: is not an order"):
        read("2026-10-12", dates="ydm")


@pytest.mark.parametrize(
    "line",
    [
        "14 Apr 2026 7i 152 149",
        "14 April 2026: 7i 152 149",
        "Apr 14, 2026 7i 152 149",
        "April 14th, 2026: 7i 152 149",
        "Tue 14 Apr 2026, 7i 152, 149",
        "7i 152 149 (14 Apr 2026)",
        "7i 152 149 (Apr 14)",
        "7i 152 149, 14 Apr 2026",
        "14-Apr-2026 7i 152 149",
        "14 Apr: 7i 152 149",
        "Apr 14: 7i 152 149",
        "14. avril 2026 7i 152 149",
        "7 iron 152 149 on the 14th of April 2026",
    ],
)
def test_a_day_with_its_month_in_letters_is_read_within_a_line(line):
    found = read_table(line, length_unit="m", today=TODAY)
    assert [(s["club"], s["carry_m"]) for s in found.shots] == [("7i", 152.0), ("7i", 149.0)]
    assert set(found.days) == {"2026-04-14"} and not found.left_out


def test_words_and_numbers_that_are_no_day_stay_what_they_are():
    """A player called May, two carries and a mark, a club before a word, and a day that no calendar has."""
    found = read_table("May 7i 152 149\n9i 120 mark 121", length_unit="m", today=TODAY)
    assert set(found.days) == {""} and [s["carry_m"] for s in found.shots][:2] == [152.0, 149.0]
    wrong = read_table("31 Feb 2026 7i 152 149", length_unit="m", today=TODAY)
    assert not wrong.shots and wrong.left_out[0].reason == "date_wrong"
    two = read_table("14 Apr 2026 7i 152\n8i 140\n3 May 2026: 7i 150", length_unit="m", today=TODAY)
    assert two.days == ("2026-04-14", "2026-04-14", "2026-05-03")


def test_a_column_of_days_is_one_whatever_its_heading_says():
    rows = "2026-04-21 10:01,7i,131\n2026-04-22 10:12,7i,138\n"
    assert read_table(f"Time,Club,Carry (m)\n{rows}", today=TODAY).days == ("2026-04-21", "2026-04-22")
    rows = "21.04.2026,2026-04-22,7i,131\n22.04.2026,2026-04-23,7i,131\n"
    table = read_table(f"Made,Date,Club,Carry (m)\n{rows}", today=TODAY)
    assert table.days == ("2026-04-22", "2026-04-23")
    assert read_table("Time,Club,Carry (m)\n10:01,7i,131\n10:12,7i,138\n", today=TODAY).days == ("", "")
