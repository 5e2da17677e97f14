"""What is to be said about a text beside its shots: lines left out, findings, questions. Codes, no sentences."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, get_args

Reason = Literal[
    "above_headings",
    "headings_again",
    "units_row",
    "summary_row",
    "unlabelled_mean",
    "club_alone",
    "label_alone",
    "day_alone",
    "no_number",
    "no_carry",
    "too_long",
    "more_cells",
    "other_headings",
    "not_a_shot",
    "carry_out_of_range",
    "carry_unreadable",
    "part_swing",
    "swing_open",
    "several_sizes",
    "mishit",
    "marked",
    "gripped_down",
    "two_distances",
    "unknown_club",
    "unknown_above",
    "several_clubs",
    "club_after_numbers",
    "differ_too_much",
    "range",
    "times",
    "stray_number",
    "not_understood",
    "other_player",
    "other_day",
    "columns_open",
    "numbers_open",
    "unit_open",
    "player_open",
    "day_open",
    "date_open",
    "date_wrong",
    "date_ahead",
]
REASONS: tuple[str, ...] = get_args(Reason)
Code = Literal[
    "turned",
    "club_from_line",
    "club_above",
    "decimal_comma",
    "right_is_positive",
    "values_ignored",
    "grip_unit_assumed",
    "lone_number_iron",
    "words_ignored",
    "numbers_ignored",
    "mean_ignored",
    "means_of_balls",
    "one_player",
    "year_assumed",
    "total_not_carry",
]
CODES: tuple[str, ...] = get_args(Code)
Key = Literal[
    "length_unit",
    "speed_unit",
    "clubs",
    "club",
    "player",
    "day",
    "dates",
    "balls",
    "columns",
    "column",
    "numbers",
    "swings",
]
KEYS: tuple[str, ...] = get_args(Key)
MOST_SAID = 40


@dataclass(frozen=True, slots=True)
class LineLeftOut:
    """A line that gave no shot: its number from 1, its beginning, and why; ``about`` is what the reason is about."""

    line: int
    text: str
    reason: Reason
    about: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that was understood or passed over, and may be worth a look: what, where, how many, which field."""

    code: Code
    line: int = 0
    about: str = ""
    count: int = 0
    field: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """Something that only the reader can say: ``key`` is the argument of `read_table` that answers it.

    ``taken`` is what is assumed until then; where it is empty, the shots in question are not taken in. ``column`` is
    the number of the column asked about, ``about`` the name asked about, ``why`` how the assumption was made.
    """

    key: Key
    taken: str = ""
    options: tuple[str, ...] = ()
    about: str = ""
    column: int = 0
    why: str = ""


@dataclass(slots=True)
class Remarks:
    """Gathers what is to be said while a text is read; by name, ``unknown`` clubs and open ``swings``."""

    left_out: list[LineLeftOut] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    needs: list[Question] = field(default_factory=list)
    unknown: dict[str, int] = field(default_factory=dict)
    swings: dict[str, int] = field(default_factory=dict)

    def leave(self, line: int, text: str, reason: Reason, about: str = "") -> None:
        """Leave a line out, with its beginning and the reason."""
        self.left_out.append(LineLeftOut(line, " ".join(text[:400].split())[:80], reason, about[:60]))

    def unknown_club(self, line: int, text: str, name: str, *, above: bool = False) -> None:
        """Leave a line out because its club is not known, and ask which club it is. ``above``: another line may name it."""
        name = " ".join(name.split())[:40]
        self.unknown[name] = self.unknown.get(name, 0) + 1
        named = (
            x for x in reversed(self.left_out) if x.reason == "unknown_club" and x.about == name in x.text
        )
        at = next((x.line for x in named if x.line < line), 0) if above and name else 0
        if at:
            self.leave(line, text, "unknown_above", f"{at}")
        else:
            self.leave(line, text, "unknown_club", name)

    def open_swing(self, line: int, text: str, swing: str) -> None:
        """Leave a line out because nobody knows yet whether its swing was a full one, and ask."""
        swing = " ".join(swing.split())[:40]
        self.swings[swing] = self.swings.get(swing, 0) + 1
        self.leave(line, text, "swing_open", swing)
