"""Invented files and notes: what must be taken in, asked and left out; and that broken ones never mislead."""

import json
import math
import random
import re
import time
import unicodedata
from collections import Counter
from pathlib import Path

import pytest
from steps import Steps

from engine.shots.cells import UNITS
from engine.shots.remarks import CODES, KEYS, REASONS
from engine.shots.table import TableError, decode, read_table

CORPUS = Path(__file__).parents[1] / "corpus"
EXPECTED = json.loads((CORPUS / "expected.json").read_text(encoding="utf-8"))
FIELDS = {
    "carry": "carry_m",
    "ball": "ball_speed_mps",
    "clubspeed": "club_speed_mps",
    "launch": "launch_deg",
    "spin": "spin_rpm",
    "side": "side_m",
    "n": "balls",
    "sd": "carry_sd_m",
    "grip": "grip_down_m",
}


def shot_of(words):
    """The shot that a line of `expected.json` says."""
    club, *parts = words.split()
    shot = {"club": "" if club == "?" else club}
    for part in parts:
        name, number, unit = re.fullmatch(r"(\w+)=(-?[\d.]+)([a-z/]*)", part).groups()
        shot[FIELDS[name]] = round(float(number) * (UNITS[unit].size if unit else 1.0), 4)
    return shot


def answers_of(doc):
    return {
        k: {int(n): v for n, v in v.items()} if k in ("columns", "numbers") else v for k, v in doc.items()
    }


def readings():
    for name, wanted in EXPECTED.items():
        args = wanted.get("args", {})
        yield pytest.param(name, args, wanted, id=name)
        for number, again in enumerate(wanted.get("then", ()), 1):
            yield pytest.param(name, args | answers_of(again["answers"]), again, id=f"{name}-{number}")


@pytest.mark.parametrize(("name", "args", "wanted"), readings())
def test_every_file_is_read_as_stated(name, args, wanted):
    table = read_table(decode((CORPUS / name).read_bytes()), **args)
    taken = [
        {k: pytest.approx(v, abs=2e-4) for k, v in shot_of(words).items() if k != "club"}
        for words in wanted["taken"]
    ]
    assert [s["club"] for s in table.shots] == [shot_of(words)["club"] for words in wanted["taken"]]
    assert [{k: v for k, v in s.items() if k != "club"} for s in table.shots] == taken
    assert sorted({q.key for q in table.needs}) == sorted(wanted["asked"])
    assert [f"{item.line} {item.reason}" for item in table.left_out] == wanted["left_out"]


def test_the_corpus_is_whole():
    assert len(EXPECTED) >= 60
    files = {path.name for path in CORPUS.iterdir()} - {"expected.json", "README.md"}
    assert files == set(EXPECTED)


def test_every_code_is_one_of_a_closed_list():
    seen = Counter()
    for name, wanted in EXPECTED.items():
        table = read_table(decode((CORPUS / name).read_bytes()), **wanted.get("args", {}))
        assert {item.reason for item in table.left_out} <= set(REASONS)
        assert {item.code for item in table.findings} <= set(CODES)
        assert {item.key for item in table.needs} <= set(KEYS)
        seen.update(item.reason for item in table.left_out)
    assert len(seen) > 15


# broken files and notes


def named(text):
    """Places where a text names a club, as this test understands it: (start, end, ids), in order."""
    return sorted((m.start(), m.end(), ids(says, m)) for says, form in SPELLED for m in form.finditer(text))


IRON = r"i|ir|irn|irons?|eisen|fer|hierro|jarn|アイアン|番アイアン|番|e|er|:?an|:a"
WOOD = r"w|wd|wood|fw|fairway|metal|holz|bois|madera|tra|ウッド|番ウッド|fairwayholz"
HYBRID = r"h|hy|hyb|hybrid|u|ut|utility|hybride|hibrido|ハイブリッド|番ハイブリッド|ユーティリティ|番ユーティリティ"
SPOKEN = {
    "two": "2",
    "three": "3",
    "four": "4",
    "five": "5",
    "six": "6",
    "seven": "7",
    "eight": "8",
    "nine": "9",
}
GAP = r"(?:er|:an?)?[\s\-_#()\[\]\"'.]{0,3}"
NAMES = {
    "dr": "driver|drivern|drv|dr|d|ドライバー",
    "pw": "pitching|pitching ?wedge|pw|p|ピッチング|ピッチングウェッジ",
    "gw": "gap|gap ?wedge|approach|attack|gw|aw|uw|a|g|アプローチ",
    "sw": "sand|sand ?wedge|sandeisen|sandjarn|sw|s|サンド|サンドウェッジ",
    "lw": "lob|lob ?wedge|lw|l|ロブ",
    "pt": "putter|puttern|putt|pt|パター",
}


def spelled():
    """Forms of club names: what each says, and the form; a number in it is the group ``n``."""
    for letter, words, most in (("i", IRON, "10"), ("w", WOOD, "1[0-5]"), ("h", HYBRID, "10")):
        digit = rf"(?<!\d)0?(?P<n>{most}|[1-9]|{'|'.join(SPOKEN)})"
        yield letter, re.compile(rf"{digit}{GAP}(?:(?:fairway|fw) ?)?(?:{words})(?![a-z])")
        yield letter, re.compile(rf"(?<![^\W\d_])(?:{words}){GAP}{digit}(?!\d)")
    for club, words in NAMES.items():
        yield club, re.compile(rf"(?<![^\W\d_])(?<!\d:)(?:{words})(?![a-z])")
    yield "loft", re.compile(r"(?<![\d.])(?P<n>(?:4[2-9]|5\d|6\d|70)(?:\.\d)?)(?!\d)")
    yield "i", re.compile(r"(?<![\w.])(?P<n>[1-9])(?!\w|\.\d)")


SPELLED = list(spelled())


def ids(says, match):
    """The clubs that a found name may stand for."""
    if says == "loft":
        return {f"w{float(match['n']):g}", "pw", "gw", "sw", "lw"}
    if says in NAMES:
        return {says}
    club = SPOKEN.get(match["n"], match["n"]) + says
    return {"dr" if club == "1w" else club}


def numbers(text):
    """Every value that a text can be said to hold, as (place, value)."""
    for match in re.finditer(r"\d[\d.,' ]*", text):
        token = match[0].rstrip(" .,'")
        for piece in re.finditer(r"\d+(?:[.,]\d+)?", token):
            yield match.start() + piece.start(), float(piece[0].replace(",", "."))
        for form in (r"\d+", r"\d+(?:\.\d+)?"):
            for piece in re.finditer(form, token):
                yield match.start() + piece.start(), float(piece[0])
        for group in (".", ",", " ", "'"):
            whole = token.replace(group, "").replace(",", ".")
            if whole.count(".") < 2 and " " not in whole and "'" not in whole:
                yield match.start(), float(whole)


def folded(text):
    text = unicodedata.normalize("NFD", unicodedata.normalize("NFKC", text)).casefold()
    text = unicodedata.normalize("NFC", re.sub("[\u0300-\u036f]", "", text)).replace("\u2212", "-")
    return text.replace("\x00", "").replace("\u2013", "-").replace("\u2019", "'")


def wrong(text, table, club=""):
    """What is wrong in what was taken in: a carry that stands nowhere in its line, or of a club that it is not."""
    lines = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    turned = any(f.code == "turned" for f in table.findings)
    for number, shot in zip(table.lines, table.shots, strict=True):
        here = folded(
            "\n".join(lines)
            if turned
            else " ".join(lines[number - 1 : number + 3 if '"' in text else number])
        )
        places = [
            at
            for at, value in numbers(here)
            if any(
                abs(value * UNITS[unit].size - shot.get("carry_m", math.nan)) < 1e-3
                for unit in ("m", "yd", "ft")
            )
        ]
        if "carry_m" in shot and not places:
            return f"line {number}: {shot} stands nowhere in {here[:100]!r}"
        if not shot["club"] or shot["club"] == club or turned:
            continue
        clubs = named(here)
        mine = any(shot["club"] in ids for _, _, ids in clubs)
        above = [ids for line in lines[: number - 1] for _, _, ids in named(folded(line))]
        if not mine and not any(shot["club"] in ids for ids in above[-12:]):
            return f"line {number}: {shot} is of no club in {here[:100]!r}"
        if mine and not table.headings and "carry_m" in shot and len(clubs) > 1:
            sure = [
                (a, b, ids)
                for a, b, ids in clubs
                if not re.fullmatch(r"\d+(?:\.\d)?", here[a:b]) or re.match("°| ?deg", here[b:])
            ]
            before = [max((c for c in sure if c[0] <= at), default=None, key=lambda c: c[1]) for at in places]
            if sure and not any(c is None or shot["club"] in c[2] for c in before):
                return f"line {number}: {shot} is another club's in {here[:100]!r}"
    return ""


def broken(number):
    """A file or note of the corpus, cut, shuffled, mixed with another; the same for the same number."""
    rng = random.Random(number)
    names = list(EXPECTED)
    text = decode((CORPUS / rng.choice(names)).read_bytes())
    for _ in range(rng.randint(1, 6)):
        lines = text.split("\n")
        at = rng.randrange(len(lines))
        place = rng.randrange(len(text) + 1)
        kind = rng.randrange(14)
        if kind == 0:
            rng.shuffle(lines)
        elif kind == 1:
            lines.insert(at, rng.choice(lines))
        elif kind == 2:
            del lines[at]
        elif kind == 3:
            lines[at] = lines[at][: rng.randrange(len(lines[at]) + 1)]
        elif kind == 4:
            other = decode((CORPUS / rng.choice(names)).read_bytes()).split("\n")
            lines[at:at] = rng.sample(other, min(len(other), 2))
        elif kind == 5:
            mark, other = rng.sample(",;\t|. -:\n", 2)
            lines = text.replace(mark, other).split("\n")
        elif kind == 6:
            cells = re.split(r"([,;\t|])", lines[at])
            if len(cells) > 2:
                one, two = rng.sample(range(0, len(cells), 2), 2)
                cells[one], cells[two] = cells[two], cells[one]
            lines[at] = "".join(cells)
        elif kind == 7:
            lines[at] = lines[at] + rng.choice((" ", ", ", " - ", "; ")) + rng.choice(lines)
        elif kind == 8:
            lines[at] = rng.choice(WORDS_BETWEEN) + rng.choice((" ", ": ", ",")) + lines[at]
        elif kind == 9:
            lines = (text[:place] + rng.choice(WORDS_BETWEEN) + text[place:]).split("\n")
        elif kind == 10:
            lines = (
                text[:place] + rng.choice(list(",;.'\"-/() 0123456789xlrm\u00a0°")) + text[place:]
            ).split("\n")
        elif kind == 11:
            lines = (text[:place] + text[place + rng.randint(1, 3) :]).split("\n")
        elif kind == 12:
            digits = [m.start() for m in re.finditer(r"\d", text)] or [0]
            place = rng.choice(digits)
            lines = (text[:place] + rng.choice("0123456789") + text[place + 1 :]).split("\n")
        else:
            lines = lines[at:] + lines[:at]
        text = "\n".join(lines) or " "
    return text


WORDS_BETWEEN = (
    *(
        "average",
        "std dev",
        "max",
        "half",
        "total",
        "wind",
        "good one",
        "Mittelwert",
        "avg 150",
        "(148)",
        "± 4",
        "n=12",
    ),
    *(
        "7i",
        "PW",
        "Eisen 8",
        "56",
        "3w",
        "carry",
        "player",
        "Student C",
        "12 balls",
        "yd",
        "m",
        "2026-07-01",
        "10:30",
        "hole 5",
    ),
)


def check(number):
    text = broken(number)
    club = ("", "7i")[number % 5 == 0]
    try:
        with Steps() as steps:
            table = read_table(
                text,
                club=club or None,
                day=("*", None)[number % 2],
                length_unit=("m", "yd", None)[number % 3],
            )
    except TableError as error:
        assert error.do  # noqa: PT017, reading it is as good an outcome
        return 0
    said = wrong(text, table, club)
    assert not said, f"{number}: {said}\n{text}"
    assert steps.count < 20_000 + 500 * len(text), f"{number}: {steps.count} steps for {len(text)} characters"
    assert table.shots or table.left_out or table.needs or table.findings or not re.search(r"\d", text), (
        f"{number}: {text}"
    )
    return len(table.shots)


def test_broken_files_and_notes_never_mislead():
    taken = [check(number) for number in range(400)]
    assert sum(count > 0 for count in taken) > 200  # what is left of them is still read


@pytest.mark.soak
def test_five_thousand_broken_files_and_notes():
    for number in range(400, 5400):
        start = time.process_time()
        check(number)
        assert time.process_time() - start < 2
