"""Kinds of statements about a text or a table of shots that was read: lines left out, what was taken how, and questions."""

from __future__ import annotations

from .spec import of

FIELDS = (
    "club",
    "carry_m",
    "ball_speed_mps",
    "club_speed_mps",
    "launch_deg",
    "spin_rpm",
    "side_m",
    "grip_down_m",
)
UNITS = ("yd", "m", "ft", "in", "cm", "mm", "mph", "km/h", "m/s", "ft/s", "deg", "rpm")

READING = {
    # why a line was left out
    "line.too_long": of(most="count"),  # characters
    "line.part_swing": of(),
    "line.tagged_part_swing": of(quoted=2),  # the cell, and its heading
    "line.unknown_club": of(quoted=1),
    "line.not_a_club": of(quoted=1),  # a word where a club would stand
    "line.several_clubs": of(),
    "line.club_alone": of(),  # taken for the lines below it
    "line.more_cells_than_headings": of(),
    "line.no_number": of(),
    "line.no_carry": of(),
    "line.not_understood": of(),
    "line.carries_too_different": of(),
    "line.carry_out_of_range": of(carry="carry", least="carry", most="carry"),
    "line.nothing_of_a_shot": of(),  # no carry, speed, launch or spin that could be one's
    "line.headings_again": of(),
    "line.units": of(),
    "line.summary": of(),  # averages or deviations
    "line.average_without_label": of(),
    "line.above_headings": of(),
    # what was taken how
    "table.turned": of(),
    "table.decimal_commas": of(),
    "table.lone_numbers_are_irons": of(),
    "table.words_ignored": of(line="count", quoted=1),
    "table.club_from_line": of(line="count", quoted=1),
    "table.sides_right_positive": of(),
    "table.grip_unit": of(unit=UNITS),
    "table.values_ignored": of(values="count", line="count", field=FIELDS),
    "column": of(
        quoted=1,  # its heading
        field=("", *FIELDS),
        unit=("", *UNITS),
        how=("", "stated", "chosen", "assumed", "as_carry", "as_other_speed", "summary", "field_taken"),
    ),
    # what was assumed and can be answered
    "ask.length_unit": of(unit=("yd", "m"), beside=("", *UNITS)),  # beside: the unit of another column
    "ask.speed_unit": of(field=FIELDS, unit=UNITS),
    "ask.which_club": of(rows="count", quoted=1),
    "ask.club": of(),
}
