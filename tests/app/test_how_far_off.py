"""The methods page shows the measured figures, and no figure of that kind that somebody typed."""

import copy
import re

from app.screens.how_far_off import ROWS, STANDINGS, TOPICS, how_far_off
from app.screens.methods import methods_page
from app.validation import FIGURES


def words(markup):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", str(markup)))


def test_every_row_stands_on_the_page():
    page = words(methods_page())
    for key, title in ROWS.items():
        found = FIGURES["ruler"][key]
        cells = [title, f"{found['clubs']:,}"]
        cells += ["{:.1f}, {:.1f}".format(*found[name]) for name in ("ours", "ruler")]
        assert " ".join([*cells, f"{found['held']} %"]) in page
    assert set(ROWS) == set(FIGURES["ruler"])
    assert f"{FIGURES['players']:,} invented players" in page


def test_checks_by_topic_and_standing_add_up():
    page = words(methods_page())
    assert set(FIGURES["checks"]) == set(TOPICS)
    totals = [sum(c.get(key, 0) for c in FIGURES["checks"].values()) for key in STANDINGS]
    assert f"All {' '.join(map(str, totals))}" in page
    assert (
        f"Air {FIGURES['checks']['air'].get('read', chr(8211))} {FIGURES['checks']['air']['memory']}" in page
    )


def test_other_figures_make_another_page():
    """Nothing of it is typed: each figure changed by hand is the one that stands there."""
    other = copy.deepcopy(FIGURES)
    other["players"] = 987_654
    for n, row in enumerate(other["ruler"].values()):
        row.update(clubs=5_000 + n, ours=[31.1 + n, 41.2 + n], ruler=[51.3 + n, 61.4 + n], held=11 + n)
    page = words(how_far_off(other))
    assert "987,654" in page
    for n in range(len(ROWS)):
        assert (
            f"{5_000 + n:,} {31.1 + n:.1f}, {41.2 + n:.1f} {51.3 + n:.1f}, {61.4 + n:.1f} {11 + n} %" in page
        )
    typed = {f"{x:.1f}" for row in FIGURES["ruler"].values() for x in (*row["ours"], *row["ruler"])}
    assert not typed & set(re.findall(r"\d+\.\d", page))
