"""What the columns of a table of shots mean: plain words in headings to fields of a shot, and their units."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..statements import Statement, state
from .cells import UNITS, Unit, missing
from .labels import SPREAD_HEADINGS, letters

# field of a shot: the kind of its unit
KIND = {
    "carry_m": "length",
    "ball_speed_mps": "speed",
    "club_speed_mps": "speed",
    "launch_deg": "angle",
    "spin_rpm": "spin",
    "side_m": "length",
    "grip_down_m": "length",
}

_SPEED = {"speed", "velocity", "spd", "vel"}
_HEADS = {"club", "head", "clubhead", "swing"}
_SIDE = {"side", "offline", "lateral", "dispersion", "sideways"}
_OF_RUN = {"total", "roll", "run", "final", "rest"}
_OTHER = {"path", "face", "angle", "axis", "time", "height", "apex", "loft", "lie", "impact", "attack"}
_SIDEWAYS = {"direction", "horizontal", "azimuth", "side", "left", "right", "axis", "tilt", "h"}


@dataclass(frozen=True, slots=True)
class Column:
    """What one column was taken for: field of a shot (None if not used), unit and how it is known, or why it is not used.

    how : one of the words of the statement "column"
    """

    number: int
    heading: str
    field: str | None
    unit: str = ""
    how: str = ""

    @property
    def statement(self) -> Statement:
        """The column as a statement, for a preview."""
        return state(
            "column",
            quoted=[self.heading],
            field=self.field,
            unit=self.unit or None,
            how=self.how or None,
        )


def unit_of(text: str) -> Unit | None:
    """The unit that a whole text spells, as in a units row: "(yds)", "[m/s]", "mph"."""
    spelled = text.strip().lower().strip("()[]{}<>. ")
    return UNITS.get(spelled) or UNITS.get(spelled.replace(" ", ""))


def split_heading(heading: str) -> tuple[str, Unit | None]:
    """A heading's words in lower case and the unit it states: "Carry (yds)", "Ball Speed km/h", "carry_m"."""
    text = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", heading[:120]).lower().strip()
    unit = None
    for inside in re.findall(r"[(\[{]([^()\[\]{}]{0,24})[)\]}]", text):
        unit = unit or unit_of(inside)
    text = re.sub(  # what stands in brackets is a unit, or says that the column sums up
        r"[(\[{][^()\[\]{}]{0,24}[)\]}]", lambda m: f" {' '.join(letters(m[0]) & SPREAD_HEADINGS)} ", text
    )
    text = text.replace("off-line", "offline").replace("off line", "offline").replace("back spin", "backspin")
    tokens = [t for t in re.split(r"[\s,;:_\u2013-]+", text) if t]
    if unit is None and tokens:
        unit = UNITS.get(tokens[-1]) if len(tokens) > 1 else None
        if unit is None and "/" in tokens[-1]:
            unit = UNITS.get(tokens[-1].split("/", 1)[1])
    if unit is not None and len(tokens) > 1 and tokens[-1] in UNITS:
        tokens.pop()
    return " ".join(re.findall(r"[^\W\d_]+", " ".join(tokens))), unit


def field_of(words: str) -> tuple[str, int] | None:
    """Field that a heading's words stand for, and a rank: the lower wins if two columns claim one field."""
    w = set(words.split())
    if not w or (w & SPREAD_HEADINGS and not w <= {"carry", "deviation", "side", "lateral"}):
        return None
    if "grip" in w or w & {"gripped", "choke", "choked"}:
        return ("grip_down_m", 0) if w & {"down", "gripped", "choke", "choked"} else None
    if w & _SPEED:
        if w & _HEADS and "ball" not in w:
            return ("club_speed_mps", 0 if w & {"club", "clubhead", "head"} else 1)
        return ("ball_speed_mps", 0) if "ball" in w and not w & {"landing", "land", "descent"} else None
    if "backspin" in w or ("spin" in w and not w & (_SIDEWAYS | {"sidespin", "loft"})):
        return ("spin_rpm", 1 if w & {"backspin", "back"} else 0)
    if w & {"spin", "sidespin"}:
        return None
    if "launch" in w and not w & _SIDEWAYS:
        return ("launch_deg", 0)
    if w & _OTHER:
        return None
    if w & _SIDE or w in ({"left", "right"}, {"l", "r"}, {"deviation"}, {"carry", "deviation"}):
        return ("side_m", (2 if w & _OF_RUN else 0) + (0 if "carry" in w else 1))
    if "carry" in w:
        return ("carry_m", 1 if w & _OF_RUN else 0)
    if w & {"distance", "dist", "yardage"} and not w & (_OF_RUN | {"pin", "hole", "to"}):
        return ("carry_m", 5)
    if w & {"club", "clubs"} and not w & {"no", "number", "brand", "make", "length", "maker", "id"}:
        return ("club", 0 if w & {"type", "name", "used"} or w == {"club"} else 1)
    return None


def is_summary_of_a_field(words: str) -> bool:
    """Whether a heading's words are of an average or a deviation of something that is measured, as "carry sd"."""
    w = words.split()
    rest = [word for word in w if word not in SPREAD_HEADINGS]
    found = field_of(" ".join(rest)) if len(rest) < len(w) and field_of(words) is None else None
    return found is not None and found[0] != "club"


def summary_headings(rows: list[tuple[int, list[str]]]) -> tuple[int, list[str]] | None:
    """Line and headings of the first row that names averages or deviations as headings do, without a bare number."""
    for line, row in rows[:60]:
        if any(re.fullmatch(r"[+-]?\d[\d.,]*", cell) for cell in row):
            continue
        told = [cell for cell in row if len(cell) <= 120 and is_summary_of_a_field(split_heading(cell)[0])]
        if told:
            return line, told
    return None


def find_header(rows: list[tuple[int, list[str]]]) -> int | None:
    """Index of the row that names the columns; None if none of the first 60 does.

    It names at least one measured quantity and holds no bare number; of several rows the one that names most.
    """
    best, most = None, 0
    for index, (_, row) in enumerate(rows[:60]):
        fields: set[str] = set()
        for cell in row:
            if re.fullmatch(r"[+-]?\d[\d.,]*", cell):
                fields.clear()
                break
            found = field_of(split_heading(cell)[0]) if len(cell) <= 120 else None
            if found:
                fields.add(found[0])
        measured = len(fields - {"club"})
        if measured and measured + ("club" in fields) > most:
            best, most = index, measured + ("club" in fields)
    return best


def is_units_row(row: list[str]) -> bool:
    """Whether most of a row's filled cells are units."""
    filled = [cell for cell in row if not missing(cell)]
    return bool(filled) and sum(unit_of(cell) is not None for cell in filled) * 2 > len(filled)


def map_columns(
    header: list[str], units: list[str] | None
) -> tuple[list[Column], dict[str, tuple[int, Unit | None]]]:
    """What each column is, and for each field used its index and stated unit."""
    claims: dict[str, tuple[int, int, Unit | None]] = {}
    read = [split_heading(cell) for cell in header]
    for index, (words, unit) in enumerate(read):
        found = field_of(words)
        if not found:
            continue
        field, rank = found
        if unit is None and units and index < len(units):
            unit = unit_of(units[index])
        if unit is not None and unit.kind != KIND.get(field):
            if field == "club" or rank >= 5:  # "Club (mph)" is a speed, "Distance (deg)" is not a distance
                continue
            unit = None
        if field not in claims or rank < claims[field][0]:
            claims[field] = (rank, index, unit)
    used = {index: field for field, (_, index, _) in claims.items()}
    columns = []
    for index, heading in enumerate(header):
        field_used = used.get(index)
        why = ""
        if field_used is None and field_of(read[index][0]):
            why = "field_taken"
        elif is_summary_of_a_field(read[index][0]):
            why = "summary"
        columns.append(Column(index + 1, heading[:60], field_used, how=why))
    return columns, {field: (index, unit) for field, (_, index, unit) in claims.items()}
