"""Broken tables give sound shots or a `TableError` of one line, never another error, and never slowly."""

import math
import random

import pytest
from steps import Steps

from engine.documents.fields import SHOT
from engine.shots.cells import MOST_TEXT
from engine.shots.table import Table, TableError, read_table

MOST_STEPS = 300  # calls for a character, and
FEWEST_STEPS = 50_000  # calls for any text
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


def check(text, *, most=MOST_STEPS, **kwargs):
    try:
        with Steps() as steps:
            table = read_table(text, **kwargs)
    except TableError as error:
        told(error)
    else:
        sound(table)
    assert steps.count < FEWEST_STEPS + most * len(text)


def sound(table):
    assert isinstance(table, Table)
    assert table.shots or table.needs or table.left_out
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
        assert len(item.about) <= 60
    assert all(len(finding.about) <= 60 for finding in table.findings)
    assert all(len(q.about) <= 60 and len(q.options) <= 62 for q in table.needs)


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
def test_much_of_one_piece_takes_bounded_work(piece):
    """A quarter of the longest text with a quarter of the steps for a character: work that grows with the square of the
    length is noticed as soon as in the whole."""
    check((piece * (MOST_TEXT // len(piece)))[: MOST_TEXT // 4], most=MOST_STEPS / 4)
    check("Club,Carry\n7i,131\n7i," + (piece * 1000)[:15_000] + "\n")
    check((piece * 5000)[:19_000] + ",Carry\n7i,131\n")
    check("\n".join([(piece * 50)[:190]] * 300))


@pytest.mark.soak
@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: repr(piece[:12]))
def test_a_megabyte_of_one_piece_takes_bounded_work(piece):
    check((piece * (MOST_TEXT // len(piece)))[:MOST_TEXT])


@pytest.mark.soak
@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: repr(piece[:12]))
def test_five_thousand_lines_of_one_piece(piece):
    check("\n".join([(piece * 50)[:190]] * 5000))
