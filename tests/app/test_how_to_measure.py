"""The drawing of what to measure: its marks are as long as what they measure on the two figures."""

import re

import pytest

from app.plots.pictures import how_to_measure

NUMBER = r'"(-?[\d.]+)"'


@pytest.fixture(scope="module")
def drawn():
    """Lines of the figures, marks, and heads."""
    text = str(how_to_measure())
    ends = "".join(rf" {name}={NUMBER}" for name in ("x1", "y1", "x2", "y2"))
    lines = re.findall(rf'<line{ends} stroke="([^"]*)"', text)
    heads = re.findall(rf"cx={NUMBER} cy={NUMBER} r={NUMBER}", text)
    figures = [tuple(map(float, x[:4])) for x in lines if "ink" in x[4]]
    marks = [tuple(map(float, x[:4])) for x in lines if "accent" in x[4]]
    return figures, marks, [tuple(map(float, h)) for h in heads]


def ends(line):
    return line[:2], line[2:]


def body(drawn, x):
    """The head at ``x`` and the lines nearer to it than to the other."""
    lines, _, heads = drawn
    (head,) = [h for h in heads if h[0] == x]
    near = [min(heads, key=lambda h: abs(h[0] - (line[0] + line[2]) / 2)) for line in lines]
    return head, [line for line, whose in zip(lines, near, strict=True) if whose == head]


def test_there_are_two_figures_of_one_size_on_one_floor(drawn):
    one, other = (body(drawn, head[0]) for head in sorted(drawn[2]))
    assert one[0][1:] == other[0][1:]
    for head, lines in (one, other):
        assert [line for line in lines if line[:2] == (head[0], head[1] + head[2])], (
            "the trunk begins at the head"
        )
        floor = max(max(line[1], line[3]) for line in lines)
        assert len([line for line in lines if floor in (line[1], line[3])]) == 2, "two feet on the floor"
        assert floor == pytest.approx(208) and {line[0] for line in lines} >= {head[0]}
        assert {frozenset(ends(line)) for line in lines} == {
            frozenset((2 * head[0] - x, y) for x, y in ends(line)) for line in lines
        }, "the left half is the right half in a mirror"
        (trunk,) = [line for line in lines if line[:2] == (head[0], head[1] + head[2])]
        assert [line[:2] for line in lines if line[3] == floor] == [trunk[2:]] * 2, (
            "the legs begin at the hip"
        )


def test_the_marks_are_as_long_as_what_they_measure(drawn):
    figures, marks, heads = drawn
    (_, y, r), standing = body(drawn, min(heads)[0])
    hands = max(line[3] for line in standing if line[3] < 150 and line[0] != line[2])
    upright = [m for m in marks if m[0] == m[2]]
    assert [m for m in upright if (m[1], m[3]) == (y - r, 208)], (
        "height: from the top of the head to the floor"
    )
    wrist = [m for m in upright if m[3] == 208 and abs(m[1] - hands) <= 3]
    assert wrist, "wrist to floor: from the hands to the floor"
    (arms,) = [
        line for line in figures if line[1] == line[3] and line[0] < max(heads)[0] < line[2] and line[1] < 200
    ]
    assert [m for m in marks if (m[0], m[2]) == (arms[0], arms[2])], "wingspan: from hand to hand"
    ticks = {m[0]: m[1::2] for m in upright if m[0] in (arms[0], arms[2])}
    assert ticks[arms[0]] == ticks[arms[2]]
