"""What the sheet says of a club is the same on the screen, on paper and in the file; cautions name whom they are about."""

import json
import random
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace

import pytest

from app import edits
from app.html import esc
from app.phrases import phrases
from app.phrases.notes import CAUTION_TITLES
from app.phrases.workshop import then
from app.screens.sheet import LayoutToBuild, sheet, sheet_rows
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from tests.app.driver import plain
from tests.app.golden.cases import cases
from tests.app.test_one_plan_everywhere import made

KEPT = sorted(Path(__file__).parents[1].joinpath("fixtures/cases").glob("*.json"))[2::9]
SOURCES = [*cases(), *KEPT, *range(20, 28)]


class Words(HTMLParser):
    """The words of a sheet but for what one of both, screen and paper, does not show."""

    def __init__(self, markup, without):
        super().__init__()
        self.without, self.hidden, self.stack, self.found = without, 0, [], []
        self.feed(markup)
        self.text = re.sub(r"\s+", " ", " ".join(self.found))

    def handle_starttag(self, tag, attrs):
        self.stack.append(self.without in (dict(attrs).get("class") or "").split())
        self.hidden += self.stack[-1]

    def handle_endtag(self, tag):
        self.hidden -= self.stack.pop()

    def handle_data(self, data):
        if not self.hidden:
            self.found.append(data)


def rough(case, seed):
    """The case with heads of several kinds, some weighed and some bent before, as after a first build."""
    rng = random.Random(seed)
    bag = [
        replace(
            c,
            head_material=rng.choice([None, "cast", "forged"]),
            measured=("length_m", "loft_deg", "lie_deg", "head_kg"),
            bent_loft_deg=rng.choice([None, 0.5, -1.5]),
            butt_trim_m=rng.choice([None, 0.0127]),
        )
        if c.family in ("iron", "wedge") and rng.random() < 0.6
        else c
        for c in case.bag
    ]
    return replace(case, bag=tuple(bag))


@pytest.fixture(scope="module", params=SOURCES, ids=lambda x: x.stem if isinstance(x, Path) else str(x))
def sheets(request):
    """Every set of one player, and its sheet."""
    source = request.param
    if isinstance(source, Path):
        case = read_case(json.loads(source.read_text("utf-8")))
    else:
        case = cases()[source] if isinstance(source, str) else rough(made(source), source)
    out = []
    for layout in Fitting(case, 32).case.layouts:
        fitting = Fitting(edits.wants("layout")(case, layout.id), 32)
        out.append((fitting, LayoutToBuild(fitting)))
    return out


def test_every_line_of_a_club_is_on_the_screen_on_paper_and_in_the_file(sheets):
    for fitting, to_build in sheets:
        state = SimpleNamespace(
            units="metric", fitting=fitting, store=SimpleNamespace(entry=SimpleNamespace(name="Ina"))
        )
        markup = sheet(state, to_build)
        seen, printed = Words(markup, "paper").text, Words(markup, "screen").text
        _, rows = sheet_rows(to_build, "metric")
        for work, row in zip(to_build.sheet.clubs, rows, strict=True):
            lines = phrases((*work.problems, *work.look_for, *work.notes, *work.against_rules), "metric")
            lines += [*then(work.then, "metric"), *phrases(to_build.short.get(work.id, ()), "metric")]
            lines += phrases(work.actions, "metric") if work.minutes else []
            filed = ";".join(row)
            for line in lines:
                words = plain(esc(line))
                assert words[1:] in seen and words[1:] in printed, (
                    work.name,
                    words,
                )  # the first may be a capital
                assert words.replace("\u00b0", " deg") in re.sub(r"\s+", " ", filed), (work.name, words)
        whole = [*phrases(to_build.of_all, "metric"), *phrases(to_build.sheet.order, "metric")]
        for line in (plain(esc(x)) for x in whole):
            assert line in seen and line in printed, line
            assert all(line.replace("\u00b0", " deg") in re.sub(r"\s+", " ", ";".join(row)) for row in rows)
        parts = [(s, plain(esc(x))) for s in to_build.sheet.parts for x in phrases([s], "metric")]
        for said, line in parts:
            assert line in seen and line in printed, line
            rows_of = [
                row
                for w, row in zip(to_build.sheet.clubs, rows, strict=True)
                if w.id in {c.id for c in said.clubs}
            ]
            assert all(
                line.replace("\u00b0", " deg") in re.sub(r"\s+", " ", ";".join(row)) for row in rows_of
            )


MEANT = {  # what makes each caution one about a club: what is done now, or once its parts are found
    "bend": {"work.bend_loft", "work.bend_lie", "work.begin_lie"},
    "cut": {"work.cut", "find.shaft"},
    "extend": {"work.extend"},
    "weight": {"work.add_mass"},
    "grind": {"work.remove_mass"},
    "epoxy": {"work.add_mass", "work.remove_mass", "work.extend", "find.head", "find.shaft"},
    "grip": {"work.cut", "work.extend", "find.shaft"},
}


def test_a_caution_names_every_club_that_it_is_about(sheets):
    for fitting, to_build in sheets:
        state = SimpleNamespace(
            units="metric", fitting=fitting, store=SimpleNamespace(entry=SimpleNamespace(name="Ina"))
        )
        text = plain(sheet(state, to_build))
        done = {c.name: {s.kind for s in (*c.actions, *c.look_for, *c.then)} for c in to_build.sheet.clubs}
        for caution, kinds in MEANT.items():
            about = [name for name, said in done.items() if said & kinds]
            told = re.search(rf"{re.escape(CAUTION_TITLES[caution])} \((.*?)\): ", text)
            assert bool(told) == bool(about), (caution, about)
            if told and "all clubs to work on" not in told[1]:
                assert told[1] == ", ".join(about), caution
            elif told:
                worked = {w.name for w in to_build.sheet.clubs if w.worked_on}
                waits = {w.name for w in to_build.sheet.clubs if w.look_for}
                assert set(about) == (worked | waits if "now or" in told[1] else worked)
                assert bool(waits - worked) == ("now or" in told[1])
        hot = {"work.add_mass", "work.remove_mass"}
        for (
            name,
            said,
        ) in done.items():  # a head that is replaced on its shaft, or the other way round, comes off
            if said & hot or len(said & {"find.head", "find.shaft"}) == 1:
                told = re.search(r"Heating a joint \((.*?)\): ", text)
                assert told and (name in told[1].split(", ") or "all clubs" in told[1]), name
