"""No club is advised and refused, kept and dropped, or named though absent: result, report, card and sheet read one plan."""

import json
import random
import re
from dataclasses import replace
from pathlib import Path

import pytest

from app import bridge
from app.main import Page
from app.phrases.report import report
from app.players import default_layouts
from app.screens.play import card_of
from app.screens.sheet import LayoutToBuild, sheet_rows
from engine.documents.case import Case, Player, Shot, Swing
from engine.documents.reading import read_case
from engine.fitting.fitting import Fitting
from engine.fitting.sections import document
from engine.statements import Statement, statement_of
from engine.workshop.norms import NORMS, norm_club
from tests.app.golden.make import statements

KEPT = sorted(Path(__file__).parents[1].joinpath("fixtures/cases").glob("*.json"))[::5]
MADE = range(16)
DRAWS = 48

# of each kind that speaks for or against carrying a club: what it says of the clubs it names, one by one
SAYS = {
    "irons.stop": ("keep",),
    "irons.stop_as_wished": ("keep",),
    "irons.keep": ("keep",),
    "irons.carry": ("keep",),
    "irons.above_kept": ("keep",),
    "woods.keep": ("keep",),
    "bag.one_job": ("keep",),
    "irons.not_worth": ("drop", "buy"),
    "irons.spared": ("drop",),
    "bag.drop": ("drop",),
    "bag.too_many": ("drop",),
    "bag.no_farther": ("drop", "keep"),
    "bag.swap": ("drop", "buy"),
    "bag.add": ("buy",),
    "bag.try": ("buy", "drop"),
    "bag.not_yet": ("refuse", "keep"),
    "bag.too_little_loft": ("refuse",),
}
ABSENT = {"bag.add", "bag.try", "bag.swap", "bag.not_yet", "bag.too_little_loft", "irons.not_worth"}
"""Kinds that may name a club that is not there: one to buy, or one that is looked at and refused."""


def made(seed):
    """A made-up player: any bag of usual clubs, balls about what such a swing does, and now and then a wish."""
    rng = random.Random(seed)
    full = [i for i in NORMS if i != "pt"]
    ids = rng.sample(full, rng.choice([3, 6, 9, 12, 13, 14, 17, 21]))
    if rng.random() < 0.8:
        ids.append("pt")
    sex = rng.choice(["male", "female", None])
    bag = tuple(norm_club(i, sex) for i in [*full, "pt"] if i in ids)
    speed = rng.choice([22.0, 28.0, 33.0, 38.0])
    case = Case(player=Player(sex=sex, height_m=rng.choice([None, 1.5, 1.8])), bag=bag)
    case = replace(case, layouts=default_layouts(bag), swing=Swing(iron7_speed_mps=speed))
    flown = Fitting(case, 16)
    carry = dict(
        zip((c.id for c in flown.present), flown.predict(flown.present).carry.mean(axis=0), strict=True)
    )
    hit = rng.sample(sorted(carry), min(rng.choice([0, 1, 3, 6]), len(carry)))
    off = {i: 1 + rng.gauss(0, 0.03) for i in hit}
    shots = tuple(
        Shot(i, carry_m=carry[i] * off[i] * (1 + rng.gauss(0, 0.03))) for i in hit for _ in range(5)
    )
    irons = [c.id for c in bag if c.family == "iron"]
    wants = replace(
        case.wants,
        gap_m=rng.choice([None, None, 12.0]),
        lofts=rng.choice([None, None, "even_gaps"]),
        clubs_most=rng.choice([None, None, 8, 12]),
        change_worth_m=rng.choice([None, 0.0, 0.05]),
        longest_iron=rng.choice(irons) if irons and rng.random() < 0.3 else None,
        layout=rng.choice([None, "stepped", "single"]),
    )
    return replace(case, shots=shots, wants=wants)


@pytest.fixture(
    scope="module",
    params=[*KEPT, *MADE],
    ids=lambda source: source.stem if isinstance(source, Path) else f"made {source}",
)
def told(request):
    source = request.param
    case = made(source) if isinstance(source, int) else read_case(json.loads(source.read_text("utf-8")))
    fitting = Fitting(case, DRAWS)
    case = fitting.case  # with the usual bag where there is none
    return case, fitting, document(case, draws=DRAWS)


def roles(said: list[Statement]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {"keep": set(), "drop": set(), "buy": set(), "refuse": set()}
    for s in said:
        of_each = SAYS.get(s.kind, ())
        for place, club in enumerate(s.clubs):
            if of_each:
                found[of_each[min(place, len(of_each) - 1)]].add(club.id)
    return found


def test_no_club_is_both_advised_and_refused_or_kept_and_dropped(told):
    _, fitting, doc = told
    said = roles([statement_of(s) for s in statements(doc)])
    own = {c.id for c in fitting.present}
    assert not said["keep"] & said["drop"], said
    assert not said["buy"] & said["refuse"], said
    assert not said["buy"] & (said["keep"] | said["drop"]), said
    assert said["keep"] | said["drop"] <= own | said["buy"] and not said["buy"] & own
    plan = fitting.make_up
    carried = set() if plan is None else {c.id for c in plan.carried}
    assert said["keep"] <= carried and not said["drop"] & carried and not said["refuse"] & carried
    assert said["buy"] == carried - own
    built = {c.id for c in fitting.clubs}  # without the irons that the player wishes away
    assert plan is None or (own & built) - carried == said["drop"] & built


def test_what_is_said_of_the_irons_is_so(told):
    """An iron that others do the work of is not called of little use, and what stops the irons is the longest carried."""
    _, fitting, _ = told
    top = fitting.irons_stop
    if top is None:
        return
    uses = {use.club: use for use in top.irons}
    carried = [use.club for use in top.irons if use.club in {c.id for c in fitting.make_up.carried}]
    for s in top.statements:
        if s.kind == "irons.not_worth":
            assert uses[s.clubs[0].id].chance_useful < 0.5
        if s.kind in ("irons.stop", "irons.keep"):
            assert s.clubs[0].id == carried[0]
            assert carried == list(uses)[list(uses).index(carried[0]) :]
        if s.kind == "irons.stop":
            longer = list(uses)[: list(uses).index(carried[0])]
            assert all(uses[i].chance_useful < 0.5 for i in longer)
        if s.kind == "irons.carry":
            assert [c.id for c in s.clubs] == carried
        if s.kind == "irons.none_useful":
            assert all(use.chance_useful < 0.5 for use in top.irons)


def test_no_club_is_named_that_is_not_there_but_to_be_bought(told):
    case, fitting, doc = told
    there = {c.id for c in case.bag}
    for s in map(statement_of, statements({k: v for k, v in doc.items() if k != "make_up"})):
        bought = set() if fitting.make_up is None else {c.buy for c in fitting.make_up.changes}
        if s.kind == "irons.above":  # what could be, in the table of facts alone
            continue
        assert {c.id for c in s.clubs} <= there | (bought if s.kind in ABSENT else set()), s
    refused = {c.buy for c in fitting.make_up.next_best} if fitting.make_up else set()
    names = {i: norm_club(i).name for i in NORMS if i not in there and i != "pt"}
    for system in ("metric", "imperial"):
        words = report(doc, system, {c.id: c.name or c.id for c in case.bag})
        for line in words.splitlines():
            for club, name in names.items():
                if re.search(rf"\b{name}\b", line) and name not in {c.name for c in case.bag}:
                    assert club in bought or (club in refused and "not worth buying yet" in line), line


def test_the_report_says_no_sentence_that_another_takes_back(told):
    case, fitting, doc = told
    words = report(doc, "metric", {c.id: c.name or c.id for c in case.bag})
    assert not re.search(r"\ba (8-|11|18)|\ban? an? |None\b(?! of)|  - |\(0 to 0\)", words)
    plan = fitting.make_up
    changes = plan is not None and bool(plan.changes)
    assert not ("Keep the clubs you have" in words and changes)
    assert ("may be worth carrying" in words) <= changes
    clubs = re.search(r"Nothing to do at the bench: ([^.\n]*)", words)
    idle = re.split(r", | and ", clubs[1]) if clubs else []
    for line in words[words.find("Build sheet") :].splitlines():
        assert not any(line.startswith(f"  {name}: ") and ("bend" in line or "cut" in line) for name in idle)


def test_card_and_sheet_have_the_clubs_of_the_plan_s_set(told):
    case, _, _ = told
    bridge.install(None)
    page = Page({})
    page.state.add_player(case)
    state = page.state
    present = {c.name or c.id for c in case.carried if c.family != "putter"}
    card = card_of(state)
    on_card = {name for name, _, _ in card.rows}
    assert on_card == {c.name or c.id for c in state.fitting.to_play(state.fitting.layout.id)} <= present
    plan = state.fitting.make_up
    first = {x.name for x in (() if plan is None else plan.carried) if x.hit_first and x.in_bag}
    no_number = {name for name, carry, _ in card.rows if carry == "not known yet"}
    assert first <= no_number | (present - on_card)
    to_build = LayoutToBuild(state.fitting)
    _, rows = sheet_rows(to_build, "metric")
    assert {row[0] for row in rows} <= present
    dropped = present - ({c.name for c in plan.carried} if plan else set())
    for s in to_build.stay_at_home:
        assert s.clubs[0].name in dropped
