"""Broken tables give sound shots or a `TableError` of one line, never another error, in steps that keep to their size."""

import math
import random
import sys

import pytest

from engine.documents.fields import SHOT
from engine.shots.cells import MOST_TEXT
from engine.shots.table import Table, TableError, read_table

PROPORTION = 1.5  # steps of a whole text over four times those of its quarter
SOME = 250_000  # steps that no text can do without, however short
MOST_A_CHARACTER = 16
SAMPLES = (
    "Club,Carry (yds),Ball Speed (mph),Launch Angle,Spin Rate,Offline\n"
    '7 Iron,143.2,98.1,17.2,"6,510",5.2 L\nPW,105,85,24.9,8480,R 3\nAverage,144.1,98.5,17,6495,\n',
    "Day;12.03.\n\nClub;Carry;Ball Speed;Spin\n;[m];[km/h];[rpm]\n7i;131,4;157,2;6.510\n;130,2;156,0;6480\n",
    "7i 143 145 151\nPW 105\n52° 98 yd\nd 210,5\n",
    "| Club | Carry (m) | Side (m) |\n|---|---|---|\n| 7i | 131 | -3 |\n| 4h | 165 | 4 |\n",
    "Club\t7i\t7i\t8i\nCarry (m)\t131\t133\t121\nBall speed (m/s)\t44\t45\t42\n",
    "Carry\n143\n145,5\n151\n",
)
PIECES = (
    *",;|\t\"\n\r\x00\\'=+-@.°%()[]{}<>/#",
    *(
        "\ufeff",
        "\u202e",
        "\U0001f3cc",
        "\u0661",
        "\u2212",
        "é",
        "'''",
        '""',
        "\r\n",
        "  ",
        "-" * 50,
        '"' * 99,
    ),
    *("1e308", "9" * 400, "-0", "1e-9", "0x1F", "inf", "nan", "None", "1,2,3,4", "1.2.3", "--5", "1/2"),
    *(
        "carry",
        "Carry (",
        "club",
        "average",
        "ball speed",
        "km/h",
        "driver",
        "7 iron",
        "wedge " * 30,
        "sep=;\n",
    ),
    *(
        "<script>alert(1)</script>",
        "=HYPERLINK(1)",
        "../../x",
        "%s%n",
        "{0.__class__}",
        " " * 3000,
        "a" * 30_000,
    ),
    *(
        "i" * 500,
        "7" * 500 + "i",
        "1 " * 2000,
        "1," * 300,
        "x\n" * 200,
        "°" * 300,
        "( " * 400,
        "W" * 80 + "1",
    ),
)


def broken(number):
    """A made-up table, cut, shuffled and peppered; the same for the same number."""
    rng = random.Random(number)
    text = rng.choice(SAMPLES)
    for _ in range(rng.randint(1, 12)):
        at, to = sorted((rng.randint(0, len(text)), rng.randint(0, len(text))))
        kind = rng.randrange(8)
        if kind < 4:
            text = text[:at] + rng.choice(PIECES) + text[at:]
        elif kind == 4:
            text = text[:at] + text[min(to, at + 40) :]
        elif kind == 5:
            lines = text.split("\n")
            rng.shuffle(lines)
            text = "\n".join(lines)
        elif kind == 6:
            text += text[at:to] * rng.randint(1, 6)
        else:
            text = text.replace(rng.choice(",;\t .\n"), rng.choice(',;\t .\n"'))
        text = text[: MOST_TEXT // 2]
    return text


def told(error):
    assert error.what and error.where and error.do
    assert "\n" not in str(error) and len(str(error)) < 600


def check(text, **kwargs):
    try:
        table = read_table(text, **kwargs)
    except TableError as error:
        told(error)
    else:
        sound(table)


def steps(text):
    """How many functions are called while a text is read."""
    count = 0

    def note(frame, event, what):
        nonlocal count
        count += event in ("call", "c_call")

    sys.setprofile(note)
    try:
        check(text)
    finally:
        sys.setprofile(None)
    return count


def sound(table):
    assert isinstance(table, Table)
    assert table.shots or table.needs
    assert len(table.lines) == len(table.shots) <= 5000
    for shot in table.shots:
        assert isinstance(shot["club"], str)
        assert len(shot["club"]) <= 24
        measured = set(shot) - {"club"}
        assert measured <= set(SHOT)
        assert measured - {"side_m", "grip_down_m"}
        for name in measured:
            assert math.isfinite(shot[name])
            assert SHOT[name].low <= shot[name] <= SHOT[name].high
    for item in table.left_out:
        assert item.line >= 1
        assert item.reason
        assert len(item.text) <= 80
    assert all(
        len(text) < 300 for s in (*table.warnings, *(q.statement for q in table.needs)) for text in s.quoted
    )


@pytest.mark.parametrize(
    "batch", [range(200), pytest.param(range(200, 2000), marks=pytest.mark.soak)], ids=str
)
def test_broken_tables(batch):
    for number in batch:
        text = broken(number)
        try:
            check(text)
            check(
                text, length_unit="m", speed_unit="mph", club="7i", clubs={"pw": "p", "": "x", "7": "seven"}
            )
        except AssertionError as error:
            raise AssertionError(f"table {number}: {text[:200]!r}") from error


@pytest.mark.parametrize("batch", [range(60), pytest.param(range(60, 600), marks=pytest.mark.soak)], ids=str)
def test_noise(batch):
    for number in batch:
        rng = random.Random(-number)
        size = rng.choice((1, 10, 100, 3000))
        check(bytes(rng.randrange(256) for _ in range(size)).decode("latin-1"))
        check(
            "".join(chr(rng.choice((rng.randrange(32, 127), rng.randrange(0x110000)))) for _ in range(size))
        )
        check("".join(rng.choice(PIECES) for _ in range(rng.randint(1, 60))))


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: repr(piece[:12]))
def test_a_megabyte_of_one_piece_takes_steps_in_proportion(piece):
    for make in (
        lambda n: (piece * (MOST_TEXT // len(piece)))[: MOST_TEXT // n],
        lambda n: "Club,Carry\n7i,131\n7i," + (piece * 1000)[: 15_000 // n] + "\n",
        lambda n: (piece * 5000)[: 19_000 // n] + ",Carry\n7i,131\n",
        lambda n: "\n".join([(piece * 50)[:190]] * (5000 // n)),
    ):
        quarter, whole = steps(make(4)), steps(make(1))
        assert whole <= 4 * PROPORTION * quarter + SOME, (quarter, whole)
        assert whole <= MOST_A_CHARACTER * len(make(1)) + SOME, whole
