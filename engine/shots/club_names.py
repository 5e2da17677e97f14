"""Club names as people and devices write them, to short ids: dr, 3w, 4h, 7i, pw, gw, sw, lw, w52, pt.

In English, German, French, Spanish, Japanese and Swedish; the words are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from .cells import bare

_SPELLED = ("two", "three", "four", "five", "six", "seven", "eight", "nine")
_WORDS = {word: str(number) for number, word in enumerate(_SPELLED, 2)}
_FAMILY = {"i": "i", "ir": "i", "irn": "i", "iron": "i", "irons": "i"}
_FAMILY |= dict.fromkeys(("eisen", "fer", "hierro", "jarn", "アイアン", "番アイアン"), "i")
_FAMILY |= dict.fromkeys(("w", "wd", "wood", "fw", "fairway", "metal"), "w")
_FAMILY |= dict.fromkeys(("holz", "bois", "madera", "tra", "ウッド", "番ウッド", "fairwayholz"), "w")
_FAMILY |= dict.fromkeys(("h", "hy", "hyb", "hybrid", "u", "ut", "utility"), "h")
_FAMILY |= dict.fromkeys(("hybride", "hibrido", "ハイブリッド", "番ハイブリッド"), "h")
_FAMILY |= dict.fromkeys(("ユーティリティ", "番ユーティリティ"), "h")
_NUMBERS = {"i": range(1, 11), "w": range(2, 16), "h": range(1, 10)}
_NAMED = {
    "dr": ("driver", "drivern", "drv", "dr", "d", "ドライバー"),
    "pw": ("pitching", "pitchingwedge", "pw", "p", "ピッチング", "ピッチングウェッジ"),
    "gw": (
        "gap",
        "gapwedge",
        "approach",
        "attack",
        "gw",
        "aw",
        "uw",
        "a",
        "g",
        "アプローチ",
        "アプローチウェッジ",
    ),
    "sw": ("sand", "sandwedge", "sandeisen", "sandjarn", "sw", "s", "サンド", "サンドウェッジ"),
    "lw": ("lob", "lobwedge", "lw", "l", "ロブ", "ロブウェッジ"),
    "pt": ("putter", "puttern", "putt", "pt", "パター"),
}
_BY_NAME = {name: club for club, names in _NAMED.items() for name in names}
WEDGE_LOFTS = range(42, 71)  # [deg]; a number before "wedge" or a degree sign in this range is a loft
LOFT_SLIP = 1.5  # [deg] between the loft a wedge is called by and the loft it has; common practice, no source

_family = "|".join(sorted(_FAMILY, key=len, reverse=True))
_name = "|".join(sorted(map(re.escape, _BY_NAME), key=len, reverse=True))
_number = r"(?P<{0}>\d{{1,2}}(?:\.\d)?|" + "|".join(_WORDS) + ")"
_degree = r"(?:deg(?:rees?|s)?\b|grad(?:os|er)?\b|degres?\b|°|º|度)"
_wedge = r"(?:wedge|ウェッジ)"
# Tried in this order at the start of a name; every part is bounded, so that no text takes long.
_FORMS = tuple(
    re.compile(form)
    for form in (
        rf"{_number.format('n')} ?(?:fairway|fw) ?(?P<f>wood|metal)\b",
        rf"{_number.format('n')}(?:er|:an?)? ?(?P<f>{_family})\b",
        rf"(?P<f>{_family})[ -]?{_number.format('n')}\b(?![.,]\d)",
        r"(?P<n>\d)(?P<f>番|(?:er|:?an|:a)\b)",  # an iron where nothing else is said
        r"(?P<n>\d)(?P<f>e)\b",
        r"(?P<f>e)(?P<n>\d)\b",
        rf"(?P<loft>\d\d(?:\.\d)?) ?{_degree} ?(?:(?:{_name})\b ?)?(?:{_wedge})?",
        rf"(?P<loft>\d\d(?:\.\d)?) ?{_wedge}",
        rf"(?:{_wedge}|w) ?(?P<loft>\d\d(?:\.\d)?)(?: ?{_degree})?(?![\d.])",
        rf"(?P<loft>\d\d(?:\.\d)?) ?(?P<name>{_name})\b(?: ?{_wedge})?",
        rf"(?P<name>{_name})(?![^\W\d_])(?: ?{_wedge})?(?: ?(?P<loft>\d\d(?:\.\d)?) ?{_degree})?",
    )
)
_ANY = re.compile(
    rf"\d{{1,2}}(?!\d)|e\d|{'|'.join(_WORDS)}|{_family}|{_name}|{_wedge}"  # a quick look before the forms
)
_PART_SWING = re.compile(
    r"\b(?:half|quarter|three quarters?|pitch|chip|punch|knock ?down|part swing|3 ?/ ?4|1 ?/ ?2|"
    r"halb\w*|halber|dreiviertel|viertel|demi|moitie|trois quarts?|medio|media|mitad|tres cuartos|"
    r"halv\w*|trekvarts?\w*|\d{1,2} ?o.?clock|(?!100)\d\d ?%)(?!\w)|[½¾¼]|[1-3]⁄[24]|ハーフ|スリークォーター"
)
_FULL_SWING = re.compile(
    r"\b(?:full|voll\w*|ganz\w*|plein\w*|complet\w*|hel\w*|normal\w*|100 ?%?)(?!\w)|フル"
)
_H_IS_NO_HYBRID = re.compile(r"eisen|holz|schlager|hierro|madera|palo")


def plain(name: str, most: int = 200) -> str:
    """A name in lower case with single spaces, without accents and the marks that people put between words."""
    text = bare(name, most)
    return " ".join(re.sub(r"[-_#()\[\]\"'.](?!\d)|(?<!\d)\.|[-_#()\[\]\"']", " ", text).split())


def leading_club(text: str) -> tuple[str, str] | None:
    """Club id that a `plain` text begins with, and the rest of the text; None if it begins with none."""
    for form in _FORMS:
        match = form.match(text)
        if match and (club := _id(match)):
            return club, text[match.end() :].lstrip(" :,;=|/")
    return None


def maybe_club(text: str, at: int) -> tuple[str, int] | None:
    """Club id that a `bare` text names at a place, and where the name ends; None if it names none there."""
    if not _ANY.match(text, at):
        return None
    for form in _FORMS:
        match = form.match(text, at)
        if match and (club := _id(match)):
            return club, match.end()
    return None


def club_id(name: str) -> str | None:
    """Id of the club that a whole name stands for; None if it is not understood.

    "7 Iron", "7-iron", "iron 7", "i7", "seven iron", "Eisen 7", "fer 7" are 7i; "52°", "52 degree wedge", "W52", "52" are
    w52; "Gap wedge (52°)" is gw, since the name of a wedge says more to a player than its loft. A lone number from
    1 to 9 is an iron.
    """
    text = plain(name)
    if re.fullmatch(r"[1-9]", text):
        return f"{text}i"
    if re.fullmatch(r"\d\d", text) and int(text) in WEDGE_LOFTS:
        return f"w{text}"
    found = leading_club(text)
    if found:
        club, rest = found
        # One letter is a club only alone: "d" is, "d shaped draw" is not.
        return club if not rest or len(text) - len(rest) > 2 else None
    words = text.split()
    for start in range(1, min(len(words), 6)):  # "my old 7 iron", "no 7 iron"
        found = leading_club(" ".join(words[start:]))
        if found and not re.match(r"[a-z]\b(?! ?\d)", words[start]):
            return found[0]
    return None


def several_clubs(name: str) -> bool:
    """Whether a name holds two clubs, as in "7i/8i"."""
    if part_swing(name):  # "7i 3/4"
        return False
    found = {
        club
        for part in re.split(r"[/,;+&]| and | und | et | y | och ", bare(name))
        if (club := club_id(part))
    }
    return len(found) > 1


def unsure_h(name: str, text: str) -> bool:
    """Whether "H4" may be a wood or an iron, as in German and Spanish texts, and not a hybrid."""
    return bool(re.fullmatch(r"h ?\d", plain(name)) and _H_IS_NO_HYBRID.search(bare(text, 100_000)))


def part_swing(name: str) -> bool:
    """Whether a name says that the swing was not a full one, as in "half 9 iron" or "PW 3/4"."""
    return bool(_PART_SWING.search(bare(name).replace("-", " ")))


def only_part_swing(cell: str) -> bool:
    """Whether a cell holds nothing but the words of a part swing, as "half" or "3/4 swing"."""
    text = bare(cell, 60).replace("-", " ")
    match = _PART_SWING.match(text)
    return bool(match and re.fullmatch(r" ?(?:swing|shot|schwung)?", text[match.end() :]))


def full_swing(name: str) -> bool:
    """Whether a text says that the swing was a full one."""
    return bool(_FULL_SWING.fullmatch(bare(name).split(" ")[0]))


def _id(match: re.Match[str]) -> str | None:
    part = match.groupdict()
    if part.get("name") and part["name"] in _BY_NAME:
        return _BY_NAME[part["name"]]
    if part.get("loft"):
        loft = float(part["loft"])
        named = re.search(rf"\b(?:{_name})\b", match[0])
        if named:
            return _BY_NAME[named[0]]
        return f"w{loft:g}" if WEDGE_LOFTS[0] <= loft <= WEDGE_LOFTS[-1] else None
    if part.get("f"):
        family, number = _FAMILY.get(part["f"], "i"), _WORDS.get(part["n"], part["n"])
        if "." in number or int(number) == 0:
            return None
        if family == "w" and int(number) in WEDGE_LOFTS:
            return f"w{int(number)}"
        if family == "w" and int(number) == 1:
            return "dr"
        return f"{int(number)}{family}" if int(number) in _NUMBERS[family] else None
    return None


def wedge_of_loft(club: str, lofts: Mapping[str, float]) -> str | None:
    """The one wedge that an id such as "w52" can mean: within `LOFT_SLIP` of that loft, and no other as near.

    lofts : loft [deg] of each wedge of the bag by id
    """
    match = re.fullmatch(r"w(\d\d(?:\.\d)?)", club)
    if not match or not lofts:
        return None
    off = sorted((abs(loft - float(match[1])), id_) for id_, loft in lofts.items())
    clear = len(off) == 1 or off[1][0] > off[0][0]
    return off[0][1] if off[0][0] <= LOFT_SLIP and clear else None
