"""The figures on the methods page are what was measured: the sample again, the checks counted again, the page read."""

import json
import re

import figures
import pytest

KEPT = json.loads(figures.PATH.read_text(encoding="utf-8"))


def test_the_sample_gives_the_figures_that_are_kept():
    """One player of each kind in each set; a little is left to other processors. If it fails: `build.py figures`."""
    now = figures.beside_a_ruler(1, KEPT["seed"])
    assert now.keys() == KEPT["sample"].keys()
    for key, kept in KEPT["sample"].items():
        assert now[key]["clubs"] == kept["clubs"], key
        assert now[key]["held"] == pytest.approx(kept["held"], abs=2), key
        for name in ("ours", "ruler"):
            assert now[key][name] == pytest.approx(kept[name], abs=0.11), (key, name)


def test_the_checks_are_counted_from_the_tables():
    assert figures.checks() == KEPT["checks"]


def test_the_whole_count_is_large_and_bears_out_what_the_page_says():
    """More clubs than the sample by as much as there are more players, and errors that could be those of this program."""
    assert KEPT["players"] >= 1_000
    more = KEPT["players"] // 48
    for key, sample in KEPT["sample"].items():
        assert KEPT["ruler"][key]["clubs"] == more * sample["clubs"], key
    assert KEPT["ruler"]["few"]["ours"][0] < KEPT["ruler"]["few"]["ruler"][0]
    assert all(60 <= row["held"] <= 100 for row in KEPT["ruler"].values())


def test_no_date_and_no_place_in_the_file():
    assert not re.search(r"20\d\d-|/home|/wt|/work", figures.PATH.read_text())
