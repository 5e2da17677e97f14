"""What was understood of a pasted text or a table, and what was not, in words. Reasons are parts of a sentence."""

from __future__ import annotations

from app.phrases.say import Phrase, Say, fixed

FIELDS = {
    "club": "club",
    "carry_m": "carry",
    "ball_speed_mps": "ball speed",
    "club_speed_mps": "club speed",
    "launch_deg": "launch angle",
    "spin_rpm": "spin",
    "side_m": "side",
    "grip_down_m": "grip down",
}
_HOW = {
    "stated": "unit stated",
    "chosen": "unit as chosen",
    "assumed": "unit assumed",
    "as_carry": "unit as for carry",
    "as_other_speed": "unit as for the other speed",
    "summary": "an average or a deviation, not a shot",
    "field_taken": "another column is taken for it",
}
_LENGTHS = {"yd": "yards", "m": "metres"}


def _quoted(say: Say, place: int = 0) -> str:
    return f"\u201c{say.statement.quoted[place]}\u201d"


def _column(say: Say) -> str:
    heading = say.statement.quoted[0] or "no heading"
    how = f", {_HOW[say.term('how')]}" if say.term("how") else ""
    if say.term("how") in ("summary", "field_taken") or "field" not in say:
        return f"{heading}: not used{how}"
    unit = f" ({say.term('unit')})" if "unit" in say else ""
    return f"{heading}: {FIELDS[say.term('field')]}{unit}{how}"


def _values_ignored(say: Say) -> str:
    one = round(say.value("values")) == 1
    return (
        f"{FIELDS[say.term('field')]}: {say['values']} value{'' if one else 's'} out of range ignored, first in line "
        f"{say['line']}"
    )


def _ask_length(say: Say) -> str:
    taken = _LENGTHS[say.term("unit")]
    why = f"another column is in {say.term('beside')}" if "beside" in say else "nothing in the text says"
    return f"the unit of carry is not stated; taken as {taken}: {why}"


def _which_club(say: Say) -> str:
    rows = "row is" if round(say.value("rows")) == 1 else "rows are"
    return f"which club is {_quoted(say)}? {say['rows']} {rows} left out until that is known"


PHRASES: dict[str, Phrase] = {
    "line.too_long": lambda say: f"the line is longer than {say['most']} characters",
    "line.part_swing": fixed("it says that the swing was not a full one"),
    "line.tagged_part_swing": lambda say: (
        f"{_quoted(say)} under {_quoted(say, 1)} says that the swing was not a full one"
    ),
    "line.unknown_club": lambda say: f"the club {_quoted(say)} is not known",
    "line.not_a_club": lambda say: f"{_quoted(say)} is not a known club",
    "line.several_clubs": fixed(
        "it names more than one club, or a club after its carry; write one club a line, the club first"
    ),
    "line.club_alone": fixed("a club\u2019s name alone; used for the lines below it"),
    "line.more_cells_than_headings": fixed(
        "it has more cells than there are headings; decimal commas without quotes?"
    ),
    "line.no_number": fixed("there is no number under the headings"),
    "line.no_carry": fixed("there is no carry in it"),
    "line.not_understood": fixed("no club and carry were found in it"),
    "line.carries_too_different": fixed(
        "its numbers differ too much to be carries of one club; name the columns"
    ),
    "line.carry_out_of_range": lambda say: (
        f"its carry, {say['carry']}, is not between {say.bare('least')} and {say['most']}"
    ),
    "line.nothing_of_a_shot": fixed("it has no carry, speed, launch or spin that a golf shot could have"),
    "line.headings_again": fixed("the headings again"),
    "line.units": fixed("a row of units"),
    "line.summary": fixed("averages or deviations, not a shot"),
    "line.average_without_label": fixed("it has no label and equals the average of the rows above"),
    "line.above_headings": fixed("it stands above the headings"),
    "table.turned": fixed("the headings are in the first column; the table was turned"),
    "table.decimal_commas": fixed("commas inside numbers were read as decimal marks"),
    "table.lone_numbers_are_irons": fixed("a lone number from 1 to 9 before a carry was read as an iron"),
    "table.words_ignored": lambda say: f"line {say['line']}: ignored {_quoted(say)}",
    "table.club_from_line": lambda say: f"line {say['line']}: the club is taken from {_quoted(say)}",
    "table.sides_right_positive": fixed("side: positive numbers were read as right of the target"),
    "table.grip_unit": lambda say: f"grip down: unit not stated, taken as {say.term('unit')}",
    "table.values_ignored": _values_ignored,
    "column": _column,
    "ask.length_unit": _ask_length,
    "ask.speed_unit": lambda say: (
        f"the unit of {FIELDS[say.term('field')]} is not stated; taken as {say.term('unit')}, which fits the values"
    ),
    "ask.which_club": _which_club,
    "ask.club": fixed("which club were these shots hit with?"),
}
