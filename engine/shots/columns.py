"""What the columns of a table of shots mean: plain words in headings, checked against what stands below them.

The words are those of the trade in English, German, French, Spanish, Japanese and Swedish: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from .cells import UNITS, Unit, bare, missing, quantity
from .club_names import club_id, full_swing, leading_club, only_part_swing, part_swing, plain
from .dates import day_of, readings
from .swing_sizes import Sizes, reach_alone

# what a column of numbers may hold: the kind of its unit
KIND = {
    "carry_m": "length",
    "ball_speed_mps": "speed",
    "club_speed_mps": "speed",
    "launch_deg": "angle",
    "spin_rpm": "spin",
    "side_m": "length",
    "grip_down_m": "length",
    "total_m": "length",
    "carry_sd_m": "length",
    "balls": "count",
}
TEXTS = ("club", "player", "date", "swing_size")
ROLES = (*TEXTS, *KIND)
MEASURED = frozenset(KIND) - {"balls", "carry_sd_m", "grip_down_m"}
# What a value may be on any club [SI]: wider than play, narrow enough to tell 6.51 from 6510.
LIKELY = {
    "carry_m": (5, 400),
    "total_m": (5, 450),
    "ball_speed_mps": (5, 110),
    "club_speed_mps": (5, 80),
    "launch_deg": (-10, 80),
    "spin_rpm": (300, 20_000),
    "side_m": (-200, 200),
    "carry_sd_m": (0, 80),
    "balls": (1, 500),
    "grip_down_m": (0, 0.25),
}
Sure = Literal["stated", "likely", "unsure", "chosen", "none"]

_HAS = {
    name: re.compile(words)
    for name, words in {
        "grip": r"\bgrip\b|gripped|choked?\b|griffkurz",
        "spread": r"\bsd\b|\bstd(?: ?dev)?|stdev|\bdev\b|stdabw|standard ?deviation|standardabw\w*|ecart type|"
        r"desviacion (?:estandar|tipica)|"
        r"standardavvik\w*|標準偏差|\bσ|\bsigma\b|\bstreuung\b|\bspread\b",
        "extreme": r"\bmax|\bmin(?:imum)?\b|longest|shortest|\btarget|\bbest\b|\bgoal\b|\bziel|objecti|objetiv|最[大小長]|"
        r"\bmedian|consistency|weitester|langster|\bwanted\b|\bgap\b|predicted|expected|\bcv\b|\berror|varian[cz]|variation|confidence|\bscore|\brank",
        "mean": r"\bavg\b|average|\bave\b|\bmean\b|mittel|durchschnitt|\bschnitt|moyen|promedio|\bmedi[ao]\b|\bmedel|"
        r"snitt\b|平均|\bø",
        "speed": r"speed|\bspd\b|velocity|\bvel\b|geschwindigkeit|tempo\b|vitesse|velocidad|hastighet|"
        r"\bfart\b|スピード|初速",
        "ball": r"\bball|\bbola|pelota|\bboll|ボール|初速",
        "head": r"\bclub|\bhead|\bswing|schlager|\btete\b|\bpalo|klubb|ヘッド|クラブ",
        "landing": r"landing|\bland\b|descent|impact|aufprall|落下",
        "spin": r"spin|drall|スピン",
        "sidespin": r"side ?spin|axis|achse|\baxe\b|\beje\b|axel|tilt|loft|direction|horizontal|"
        r"\bside\b|left|right|サイド|軸",
        "launch": r"launch|abflug|startwinkel|lancement|decollage|lanzamiento|\bsalida|utgangs|打ち?出し?",
        "sideways": r"direction|horizontal|azimuth|\bside|left|right|axis|tilt|\bh\b|richtung|direccion|riktning|方向|左右",
        "other": r"\bpath|\bface\b|angle|axis|\btime|height|apex|\bloft|\blie\b|impact|attack|winkel|hohe\b|hauteur|"
        r"altura|hojd|高さ|最高|smash|efficiency|handicap|\bcost\b|temperatur|\bwind|weather",
        "side": r"\bside\b|offline|\blateral|dispersion|sideways|\bseit|abweichung|\becart\b|desviacion|sidled|sidoavvik|"
        r"\bsida\b|左右|曲がり",
        "carry": r"carry|carried|flugweite|fluglange|\bportee|\bvuelo|キャリー",
        "distance": r"distance|\bdist\b|yardage|weite\b|distanz|entfernung|distancia|avstand|langd\b|distans|"
        r"飛距離|距離",
        "total": r"\btotal|\broll|\brun\b|\bfinal\b|\brest\b|gesamt|トータル|ラン$|\brull|overall",
        "hole": r"\bpin\b|\bhole\b|\bto\b|flag|fahne|drapeau|bandera|ピン|残り|\btill\b",
        "count": r"\bshots\b|\bballs\b|\bcount\b|^n$|number of|\bqty\b|anzahl|\bschlage\b|^balle$|nombre|\bcoups\b|"
        r"\bballes\b|golpes|\bbolas\b|cantidad|\bantal\b|^slag$|bollar|球数|打数|本数",
        "player": r"player|golfer|student|\buser\b|spieler|schuler|joueur|\beleve\b|jugador|alumno|spelare|\belev\b|選手|"
        r"プレー?ヤー|氏名|名前|^name$|^nom$|^namn$|^nombre$|^who$",
        "date": r"\bdate\b|\bday\b|datum|^tag$|\bjour\b|fecha|\bdia\b|\bdag\b|日付|日時|timestamp|\bsession\b",
        "size": r"swing size|swing length|swing type|^swing$|schwung|^tags?$|shot type|^type$|\bnotes?\b|comment|remark|"
        r"bemerkung|kommentar|notiz|anmarkning|remarque|\bnotas?\b|メモ|備考|スイング",
        "club": r"\bclubs?\b|schlager|\bpalo\b|klubb|クラブ|番手",
        "notclub": r"\bno\b|number|brand|\bmake\b|length|maker|\bid\b|model|\bclosed\b|\bopen\b",
    }.items()
}


@dataclass(frozen=True, slots=True)
class Column:
    """What one column was taken for.

    field: what it holds, None if it is not used; sure: how sure that is; unit, unit_how: of a measured column; mark: the
    decimal mark that its values need, "?" if they could be read in two ways; means: its heading says that each value is
    an average; sample: its first values; other: it would be ``field_wanted``, but another column is.
    """

    number: int
    heading: str
    field: str | None
    sure: Sure = "none"
    unit: str = ""
    unit_how: str = ""
    mark: str = ""
    means: bool = False
    sample: tuple[str, ...] = ()
    wanted: str = ""


def unit_of(text: str) -> Unit | None:
    """The unit that a whole text spells, as in a units row: "(yds)", "[m/s]", "mph"."""
    spelled = bare(text).strip("()[]{}<>. ")
    return UNITS.get(spelled) or UNITS.get(spelled.replace(" ", ""))


def split_heading(heading: str) -> tuple[str, Unit | None]:
    """A heading's words in lower case and the unit it states: "Carry (yds)", "Ball Speed km/h", "carry_m"."""
    text = bare(re.sub(r"(?<=[a-z])(?=[A-Z])", " ", heading[:120]))
    unit = None
    for inside in re.findall(r"[(\[{]([^()\[\]{}]{0,24})[)\]}]", text):
        unit = unit or unit_of(inside)
    text = re.sub(r"[(\[{]([^()\[\]{}]{0,24})[)\]}]", lambda m: " " if unit_of(m[1]) else f" {m[1]} ", text)
    text = text.replace("off-line", "offline").replace("off line", "offline").replace("back spin", "backspin")
    tokens = [t for t in re.split(r"[\s,;:_\u2013-]+", text) if t]
    if unit is None and tokens:
        unit = UNITS.get(tokens[-1]) if len(tokens) > 1 else None
        if unit is None and "/" in tokens[-1]:
            unit = UNITS.get(tokens[-1].split("/", 1)[1])
    if unit is not None and len(tokens) > 1 and tokens[-1] in UNITS:
        tokens.pop()
    return " ".join(re.sub(r"[\d_]|[^\w ]", " ", " ".join(tokens)).split()), unit


def field_of(words: str) -> tuple[str, int] | None:
    """Field that a heading's words stand for, and a rank: the lower wins if two columns claim one field.

    From 5 the words only make it likely, from 8 they leave it open.
    """
    has = {name: bool(form.search(words)) for name, form in _HAS.items()}
    if not words or has["extreme"]:
        return None
    if has["grip"]:
        return ("grip_down_m", 0) if re.search(r"down|gripped|choke|kurz", words) else None
    if has["spread"]:
        rest = _HAS["spread"].sub(" ", words)
        has = {name: bool(form.search(rest)) for name, form in _HAS.items()}
        if has["speed"] or has["spin"] or has["launch"] or has["other"] or has["total"] or has["side"]:
            return None
        if re.search(r"\bdev\b(?<!std dev)", words):  # a deviation may be one to the side
            return ("carry_sd_m", 8)
        return ("carry_sd_m", 0 if has["carry"] else 5 if has["distance"] else 8)
    later = 1 if has["mean"] else 0
    if has["speed"]:
        if has["head"] and not has["ball"]:
            return ("club_speed_mps", later + (1 if words.startswith("swing") else 0))
        return ("ball_speed_mps", later) if has["ball"] and not has["landing"] else None
    if has["spin"]:
        if "backspin" in words or not has["sidespin"]:
            return ("spin_rpm", later + ("back" in words))
        return None
    if has["launch"] and not has["sideways"]:
        return ("launch_deg", later)
    if re.search(r"打ち?出し?", words) and not has["sideways"]:
        return ("launch_deg", later)
    if has["other"]:
        return None
    if words in ("deviation", "carry deviation", "abweichung", "dispersion", "desviacion", "ecart"):
        return ("side_m", 8)
    if has["side"] or words in ("left right", "left", "right", "l r"):
        return ("side_m", (2 if has["total"] else 0) + (0 if has["carry"] else 1))
    if has["carry"]:
        return ("carry_m", later + (1 if has["total"] else 0))
    if has["total"] and (has["distance"] or re.fullmatch(r"total\w*|gesamt|トータル|overall", words)):
        return ("total_m", later)
    if has["distance"] and not has["total"] and not has["hole"]:
        return ("carry_m", 5 + later)
    if has["club"] and not has["notclub"]:
        return ("club", 0 if re.search(r"type|name|used|^\w+$", words) else 1)
    for name, field, rank in (
        ("player", "player", 0),
        ("count", "balls", 0),
        ("date", "date", 0 if "session" not in words else 1),
        ("size", "swing_size", 5),
    ):
        if has[name]:
            return (field, rank)
    return None


def says_mean(words: str) -> bool:
    """Whether a heading says that the values below it are averages."""
    return bool(_HAS["mean"].search(words))


def find_header(rows: list[tuple[int, list[str]]]) -> int | None:
    """Index of the row that names the columns; None if none of the first 60 does.

    It names at least one measured quantity and holds no bare number; of several rows before the first numbers the one
    that names most.
    """
    best, most = None, 0
    numbers = False  # whether a row of numbers stands between the best row so far and this one
    for index, (_, row) in enumerate(rows[:60]):
        fields: set[str] = set()
        for cell in row:
            if re.fullmatch(r"[+-]?\d[\d.,]*", cell) or _club_and_number(cell):
                numbers = numbers or most > 1
                fields.clear()
                break
            found = field_of(split_heading(cell)[0]) if len(cell) <= 120 else None
            if found:
                fields.add(found[0])
        if fields & MEASURED and len(fields) > most and not numbers:
            best, most = index, len(fields)
    return best


def _club_and_number(cell: str) -> bool:
    """Whether a cell is a club with its carry, as in "7i 150 yards carry", and so no heading."""
    found = leading_club(plain(cell)) if re.search(r"\d", cell) else None
    return bool(found and re.search(r"\d", found[1]))


def unknown_header(rows: list[tuple[int, list[str]]]) -> int | None:
    """Index of a row of words above at least two rows of as many cells with numbers; None if there is none."""
    for index, (_, row) in enumerate(rows[:60]):
        below = rows[index + 1 : index + 60]
        words = [cell for cell in row if not missing(cell)]
        if len(row) < 2 or len(words) * 3 < len(row) * 2 or any(re.search(r"\d", cell) for cell in words):
            continue
        alike = [
            cells for _, cells in below if len(cells) == len(row) and any(quantity(c) for c in cells[1:])
        ]
        if len(alike) >= 2 and len(alike) * 2 > len(below):
            return index
    return None


def is_units_row(row: list[str]) -> bool:
    """Whether most of a row's filled cells are units."""
    filled = [cell for cell in row if not missing(cell)]
    return bool(filled) and sum(unit_of(cell) is not None for cell in filled) * 2 > len(filled)


@dataclass(frozen=True, slots=True)
class Used:
    """The column that holds a field: where it stands and the unit it states."""

    index: int
    unit: Unit | None = None


def map_columns(
    header: Sequence[str],
    units: Sequence[str] | None,
    data: Sequence[Sequence[str]],
    chosen: Mapping[int, str],
    *,
    sizes: Sizes | None = None,
) -> tuple[list[Column], dict[str, Used]]:
    """What each column is, and for each field used its place and stated unit.

    chosen : what columns are to be taken for, by number from 1; "" for not used
    sizes : the player's own names of part swings
    """
    claims: dict[str, tuple[int, int, Unit | None]] = {}
    read = [split_heading(cell) for cell in header]
    wants: dict[int, tuple[str, int]] = {}
    for index, (words, unit) in enumerate(read):
        values = [row[index] for row in data[:500] if index < len(row) and not missing(row[index])]
        if index + 1 in chosen:
            found = (chosen[index + 1], -1) if chosen[index + 1] in ROLES else None
        else:
            found = _checked(field_of(words), words, values, sizes or Sizes())
        if not found:
            continue
        field, rank = found
        if unit is None and units and index < len(units):
            unit = unit_of(units[index])
        if unit is not None and unit.kind != KIND.get(field):
            if rank >= 0 and (
                field in TEXTS or rank >= 5
            ):  # "Club (mph)" is a speed, "Distance (deg)" is not a distance
                continue
            unit = None
        if unit is not None and field in ("carry_m", "total_m") and unit.name not in ("m", "yd", "ft"):
            unit = None
        wants[index] = (field, rank)
        if field not in claims or rank < claims[field][0]:
            claims[field] = (rank, index, unit)
    used = {index: (field, rank) for field, (rank, index, _) in claims.items()}
    columns = []
    for index, heading in enumerate(header):
        sample = tuple(row[index][:20] for row in data[:40] if index < len(row) and not missing(row[index]))[
            :3
        ]
        field_, rank_ = used.get(index, (None, 0))
        sure: Sure = "none"
        if field_ is not None:
            sure = "chosen" if rank_ < 0 else "stated" if rank_ < 5 else "likely" if rank_ < 8 else "unsure"
        elif index + 1 in chosen:
            sure = "chosen"
        wanted = wants[index][0] if field_ is None and index in wants else ""
        means = says_mean(read[index][0]) and field_ in MEASURED
        columns.append(
            Column(index + 1, heading[:60], field_, sure, means=means, sample=sample, wanted=wanted)
        )
    open_ = {c.field for c in columns if c.sure == "unsure"}
    return columns, {f: Used(index, unit) for f, (_, index, unit) in claims.items() if f not in open_}


def _may_be_clubs(values: list[str]) -> bool:
    """Whether most values may name clubs, and do not only number the rows."""
    if all(re.fullmatch(r"\d{1,5}", value.strip()) for value in values) and _running(
        [float(v) for v in values]
    ):
        return False
    return sum(bool(club_id(v) or re.search(r"[^\W\d]", v)) for v in values) * 2 >= len(values)


def _dated(value: str) -> bool:
    """Whether a value holds a day with its year, whatever its heading says: "2031-05-03 10:12" may stand under "Time"."""
    return bool(re.search(r"(?:19|20)\d\d", value) and readings(day_of(value)))


def _running(values: list[float]) -> bool:
    """Whether values only number the rows: 1, 2, 3, perhaps from 1 again."""
    return len(values) > 2 and values[0] == 1 and all(b - a == 1 or b == 1 for a, b in pairwise(values))


_SWING_HEADING = re.compile(
    r"\bswing(?: (?:sizes?|lengths?|types?|names?|kinds?))?$|schwung(?:lange|art|grosse|weite|name)?$|スイング$"
)


def may_be_swing(cell: str, heading: str) -> bool:
    """Whether a cell may name a swing that is not a full one, by its words or by those of its heading."""
    named = _SWING_HEADING.search(split_heading(heading)[0])
    return not full_swing(cell) and (bool(named) or reach_alone(cell))


def _checked(
    found: tuple[str, int] | None, words: str, values: list[str], sizes: Sizes
) -> tuple[str, int] | None:
    """What a heading says, where the values below it agree; else what the values say themselves."""
    if not values:
        return found
    numbers = [quantity(value) for value in values]
    numeric = sum(n is not None for n in numbers) * 3 >= len(values) * 2
    field, rank = found or ("", 0)
    if field == "balls" and not numeric:
        found = ("player", 5) if words in ("nombre", "balle") else None
    elif field == "balls":
        plain = [n.readings[0] for n in numbers if n]
        running = _running(plain)
        whole = all(value == int(value) and 1 <= value <= 500 for value in plain)
        found = None if running or not whole else found
    elif field == "player" and all(club_id(value) for value in values):
        found = None
    elif field == "player" and words == "nombre" and numeric:
        found = ("balls", 0)
    elif field == "date" and words == "tag" and not any(re.search(r"\d", value) for value in values):
        found = ("swing_size", 5)
    elif field == "side_m" and rank >= 8 and any(n and (n.side or n.readings[0] < 0) for n in numbers):
        found = ("side_m", 5)
    elif field == "club" and not _may_be_clubs(values):
        found = ("club", 8)
    if found is None and not numeric and sum(map(_dated, values)) * 3 >= len(values) * 2:
        return ("date", 6)
    if (found is None or found[0] == "swing_size") and not numeric:
        told = part_swing if found else only_part_swing
        parts = [value for value in values if told(value) or sizes.whole(value)]
        sized = [*parts, *(value for value in values if value not in parts and full_swing(value))]
        if parts:
            return ("swing_size", 5 if len(sized) * 2 >= len(values) or found else 6)
        if any(may_be_swing(value, words) for value in values):  # a swing that has no name yet is no full one
            return ("swing_size", 5)
        found = None
    if (
        found is None
        and not words
        and sum(bool(club_id(v)) and not v.strip().isdigit() for v in values) * 3 >= len(values) * 2
    ):
        return ("club", 6)
    return found
