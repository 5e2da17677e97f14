"""Words for what was understood of a text or a file: columns, findings, questions, lines left out."""

from __future__ import annotations

from app.phrases.say import listed
from engine.shots.columns import Column
from engine.shots.dates import readings
from engine.shots.remarks import Finding, LineLeftOut, Question
from engine.shots.table import ALL

FIELDS = {
    "club": "club",
    "carry_m": "carry",
    "total_m": "total",
    "ball_speed_mps": "ball speed",
    "club_speed_mps": "club speed",
    "launch_deg": "launch angle",
    "spin_rpm": "spin",
    "side_m": "side",
    "balls": "number of balls",
    "carry_sd_m": "spread of the carry",
    "grip_down_m": "grip down",
    "date": "date",
    "player": "player",
    "swing_size": "swing size",
}
SURE = {
    "stated": "the heading says so",
    "likely": "likely",
    "unsure": "not clear: please choose",
    "chosen": "chosen by you",
    "none": "",
}
UNIT_HOW = {"stated": "stated", "chosen": "chosen", "assumed": "assumed"}
REASONS = {
    "above_headings": "stands above the headings",
    "headings_again": "the headings again",
    "other_headings": "other headings begin here; paste this part on its own",
    "units_row": "a row of units",
    "summary_row": "an average, spread or other summary, not a ball",
    "unlabelled_mean": "has no label and is the average of the lines above",
    "club_alone": "names the club of the lines below",
    "label_alone": "name for the lines below",
    "day_alone": "date for the lines below",
    "no_number": "no number under the headings",
    "no_carry": "there is no carry in it",
    "too_long": "the line is too long",
    "more_cells": "has more cells than there are headings; are there decimal commas without quotes?",
    "not_a_shot": "holds nothing that was measured of a shot",
    "part_swing": "not a full swing; such balls count once the swing has a name under Hit",
    "several_sizes": "names a part swing: write one club, one such swing and their carries on a line",
    "mishit": "marked as a mishit; write the good balls on a line without it",
    "marked": "marked with a question mark or a star; write it without the mark if it counts",
    "gripped_down": "hit gripped down; set the grip under Hit, or use a table with a column \u201cGrip down (in)\u201d",
    "two_distances": "two distances with a stroke between them may be carry and total; write the carry alone",
    "several_clubs": "names several clubs, so it is not clear which carry belongs to which",
    "club_after_numbers": "numbers stand before the club; write the club first",
    "differ_too_much": "the numbers differ too much to be carries of one club",
    "range": "a range from one carry to another, not two balls",
    "times": "says how often a carry was hit; write each ball",
    "stray_number": "holds a number that may not be a carry",
    "not_understood": "not understood",
    "swing_open": "waits until you say whether it was a full swing",
    "columns_open": "waits until you say which column is what",
    "numbers_open": "waits until you say what the commas or points mean",
    "unit_open": "waits until you say whether it is in metres or in yards",
    "player_open": "waits until you choose the player",
    "day_open": "waits until you choose the day",
}
_ABOUT = {
    "carry_out_of_range": "{} is not the carry of a full swing",
    "carry_unreadable": "\u201c{}\u201d is not a carry",
    "unknown_club": "which club is \u201c{}\u201d?",
    "unknown_above": "its club is not known, see line {}",
    "other_player": "belongs to another player, {}",
    "other_day": "is from another day, {}",
    "date_wrong": "\u201c{}\u201d does not exist; correct the date",
    "date_ahead": "{} is in the future; correct the date",
}
FINDINGS = {
    "turned": "The headings are down the side or are clubs, so the table was turned round.",
    "club_from_line": "The club is taken from line {line}, \u201c{about}\u201d.",
    "club_above": "{count} {lines} without a club {taken} the club above; the first is line {line}.",
    "decimal_comma": "Numbers are read with a decimal comma where a column shows one; a point there marks thousands.",
    "right_is_positive": "Side: positive numbers were read as right of the target.",
    "values_ignored": "{field}: {count} {values} out of range, left out; the first is in line {line}.",
    "grip_unit_assumed": "Grip down has no unit; read as {about}.",
    "lone_number_iron": "Line {line}: {about} is read as the {about}-iron.",
    "words_ignored": "Line {line}: ignored \u201c{about}\u201d.",
    "numbers_ignored": "Line {line}: {about} was not counted as a ball.",
    "mean_ignored": "Line {line}: {about} is the average of the balls beside it and is not counted again.",
    "means_of_balls": "{count} {lines} give the mean of several balls, and count as that many.",
    "one_player": "All of these balls were hit by {about}.",
    "year_assumed": "\u201c{about}\u201d has no year; read as {count}.",
    "total_not_carry": "The total is not used: it holds the roll as well.",
}
_QUESTIONS = {
    "length_unit": "No unit is given with the carries; read as {unit}.",
    "speed_unit": "No unit is given with the {field}; read as {taken} because the values fit.",
    "clubs": "Which club is \u201c{about}\u201d?",
    "club": "Which club were these balls hit with? None is named.",
    "player": "There are several players: choose whose balls to take.",
    "day": "There are several days: choose one, or all of them.",
    "balls": "These are averages: of how many balls each?",
    "columns": "No column was recognized as the carry: say which one it is.",
}
_UNITS = {"m": "metres", "yd": "yards"}


def left_out(item: LineLeftOut) -> str:
    """Why a line gave no ball."""
    if item.reason in _ABOUT:
        shown = item.about or ("no name" if item.reason == "unknown_club" else "not named")
        return _ABOUT[item.reason].format(shown)
    if item.reason == "date_open":
        return f"is {_either(item.about)}?"
    return REASONS[item.reason]


def _either(text: str) -> str:
    """``03/04/2026 the 3rd of April or the 4th of March``: the days that a text may mean."""
    days = list(dict.fromkeys((readings(text) or {}).values()))
    year = len({day.year for day in days}) > 1
    said = (f"the {_nth(day.day)} of {day:%B}{f' {day.year}' * year}" for day in days)
    return f"{text} {' or '.join(said)}"


def _nth(number: int) -> str:
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th") if number // 10 != 1 else "th"
    return f"{number}{ending}"


def finding(item: Finding) -> str:
    """One thing that is worth a look."""
    field = FIELDS.get(item.field, "").capitalize()
    values = "value is" if item.count == 1 else "values are"
    lines, taken = ("line", "takes") if item.count == 1 else ("lines", "take")
    words = FINDINGS[item.code].format(
        line=item.line,
        about=item.about,
        count=item.count,
        field=field,
        values=values,
        lines=lines,
        taken=taken,
    )
    return words.replace(
        "1 line give the mean of several balls, and count",
        "1 line gives the mean of several balls, and counts",
    )


def question(item: Question, headings: tuple[Column, ...] = ()) -> str:
    """What is asked, or was assumed."""
    heading = next((c.heading for c in headings if c.number == item.column), "")
    column = f"\u201c{heading}\u201d" if heading else f"column {item.column}"
    if item.key == "column":
        if item.taken:
            return f"Is {column} the carry, or the total with roll? Read as carry."
        return f"Is {column} the {FIELDS[item.about]}? Not used until you say so."
    if item.key == "length_unit" and not item.taken:
        return "Some carries have a unit and others have none: say what the others are in."
    if item.key == "swings":
        names = listed(tuple(f"\u201c{name}\u201d" for name in item.options[:3]))
        what, them = (
            ("is", "a full swing, or a part swing")
            if len(item.options) == 1
            else ("are", "full swings, or part swings")
        )
        return f"What {what} {names}: {them} to be named under Hit first?"
    if item.key == "dates":
        return f"Is {_either(item.about)}?"
    if item.key == "player" and item.about and ALL not in item.options:
        names = listed([name or "nobody named" for name in item.options][:3])
        return (
            f"These balls were hit by {names}, not by {item.about}: choose whose to add here all the same, or open "
            "another player first."
        )
    if item.key == "numbers":
        where = f"in {column}" if item.column else "in the text"
        return f"The numbers {where} can be read in two ways: say whether the comma or the point is the decimal mark."
    return _QUESTIONS[item.key].format(
        unit=_UNITS.get(item.taken, item.taken),
        taken=item.taken,
        about=item.about,
        field=FIELDS.get(item.about, "speed"),
    )


def taken_for(column: Column) -> str:
    """What a column was taken for, with its unit and decimal mark."""
    if column.field is None or column.sure == "unsure":
        if column.wanted:
            return f"not used: another column is the {FIELDS[column.wanted]}"
        return "not used"
    parts = [FIELDS[column.field]]
    if column.unit:
        how = UNIT_HOW.get(column.unit_how, "")
        parts.append(f"in {column.unit}" + (f" ({how})" if how in ("assumed", "chosen") else ""))
    if column.means:
        parts.append("averages")
    written = "".join(column.sample)
    if column.mark == ",":
        parts.append("decimal comma" if "," in written else "the point marks thousands")
    elif column.mark == "." and "," in written:
        parts.append("the comma marks thousands")
    return ", ".join(parts)


def how_sure(column: Column) -> str:
    """How sure it is what a column holds."""
    return SURE[column.sure]


def option(value: str) -> str:
    """One of several players or days to choose from."""
    return "all of them" if value == ALL else value or "not named"
