"""Words that tell what a heading, a row or a cell is about: several balls summed up, people, kinds of swing; two tongues."""

from __future__ import annotations

import re


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


SUMMARY_WORDS = _words(
    "average averages avg ave mean median summary overall consistency std stdev stddev sd deviation deviations dev "
    "variance var range min max minimum maximum total totals sum \u00f8 \u03c3 sigma "
    "mittelwert mittelwerte mittel durchschnitt durchschnittlich schnitt standardabweichung stdabw stabw abw "
    "abweichung streuung varianz spannweite gesamt summe"
)
SPREAD_HEADINGS = (SUMMARY_WORDS - {"total", "totals", "range", "sum", "gesamt", "summe"}) | _words(
    "target error cv spread confidence score rank"
)
"""In the heading of a column: not the measure of a ball itself. A total is a distance, and a range ball a ball."""
_BESIDE = _words("of all the a n shot shots ball balls club clubs")
_PEOPLE = _words(
    "player golfer student pupil user client member athlete "
    "spieler spielerin sch\u00fcler sch\u00fclerin kunde kundin golferin teilnehmer teilnehmerin"
)
_NAME = _words("name full first last vorname nachname")
_DAYS = _words("date time day datum uhrzeit zeit timestamp")
_TAGS = _words(
    "tag tags note notes comment comments type kind swing label labels remark remarks description effort "
    "art bemerkung bemerkungen notiz kommentar schlagart schlag schwung"
)


def letters(text: str) -> set[str]:
    """Words of a text in lower case, without digits and marks."""
    return set(
        re.findall(r"[^\W\d_]+", text[:200].lower().replace("\u2300", "\u00f8").replace("\u2205", "\u00f8"))
    )


def is_summary(cell: str, *, label: bool) -> bool:
    """Whether a cell says that its row sums up several balls; a cell that is no ``label`` of its row says nothing else."""
    words = letters(cell)
    if label:
        return bool(words & SUMMARY_WORDS)
    return bool(words & SUMMARY_WORDS) and words <= (SUMMARY_WORDS - {"range"}) | _BESIDE


def is_person(heading: str) -> bool:
    """Whether a heading or the label of a line is about who hit the balls."""
    words = letters(heading)
    return "club" not in words and (bool(words & _PEOPLE) or bool(words & _NAME and words <= _NAME))


def may_tag(heading: str) -> str:
    """How far the cells under a heading may tell the kind of swing: "freely", only as their "whole" text, or not."""
    words = letters(heading)
    if is_person(heading) or words & _DAYS:
        return ""
    return "freely" if words & _TAGS else "whole"
