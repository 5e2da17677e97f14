"""One line cut into cells: quoted cells hold the delimiter, also after a space."""

import pytest

from engine.shots.cells import split_line


@pytest.mark.parametrize(
    ("line", "delimiter", "cells"),
    [
        ("7i, 140 ,141", ",", ["7i", "140", "141"]),
        ('7i,"143,5",141', ",", ["7i", "143,5", "141"]),
        (
            '7i, "143,5", 141',
            ",",
            ["7i", "143,5", "141"],
        ),  # as many programs write it: a space before the quote
        ('"7i; full"; 140', ";", ["7i; full", "140"]),
        ('7i; "he said ""good"""', ";", ["7i", 'he said "good"']),
        ("7 iron   140\t141", "  ", ["7 iron", "140", "141"]),
        ('7i, "140', ",", ["7i", "140"]),
    ],
)
def test_cells_of_a_line(line, delimiter, cells):
    assert split_line(line, delimiter) == cells
