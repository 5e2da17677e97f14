"""The engine's sentences as the screen says them: in the units shown, ranges too, and only those."""

import dataclasses
import re

import pytest

from app.demo import demo_case
from app.spoken import spoken
from engine.fitting import sections
from engine.fitting.fitting import Fitting

METRIC = {
    "cut 1 in from the butt": "cut 25 mm from the butt",
    "extend 1/2 in at the butt": "extend 13 mm at the butt",
    "1 1/2 in longer: it comes to 35 1/2 in; bend 2 deg": "38 mm longer: it comes to 90.2 cm; bend 2\u00b0",
    "about 10 m more at 3 deg": "about 10 m more at 3\u00b0",
    "put 12 g in the hosel": "put 12 g in the hosel",
    "begin with 34.4 in (33.5 to 35.4)": "begin with 87.4 cm (85.1 to 89.9)",
    "0.5 in longer (+0.15 to +0.66 in; a tape": "13 mm longer (+4 to +17 mm; a tape",
    "An inch and a half down, then half an inch": "4 cm down, then 13 mm",
    "1.1 mph of club speed (0.7 to 1.6)": "1.8 km/h of club speed (1.1 to 2.6)",
    "At 94 mph with the driver": "At 151 km/h with the driver",
    "carry -0.0 m (-0.5 to +0.3)": "carry 0.0 m (\u22120.5 to +0.3)",
    "as read in 2026 in texts, 3-wood": "as read in 2026 in texts, 3-wood",
    "lie 62 deg (60 to 64), 92 % of 10 ft": "lie 62\u00b0 (60 to 64), 92 % of 10 ft",
}
IMPERIAL = {
    "1 1/2 in longer; bend 2 deg": "1 1/2 in longer; bend 2\u00b0",
    "Half an inch more": "Half an inch more",
    "3.7 m of carry (2.4 to 4.9)": "4.0 yd of carry (2.6 to 5.4)",
    "goes from 133 to 152 m and": "goes from 145 to 166 yd and",
    "138 m (chance 92 %), 8 m beyond": "151 yd (chance 92 %), 9 yd beyond",
    "struck 10 mm higher": "struck 0.4 in higher",
    "0.50 m/s (0.33 to 0.71)": "0.50 m/s (0.33 to 0.71)",
}


@pytest.mark.parametrize(
    "system, text, told",
    [("metric", *x) for x in METRIC.items()] + [("imperial", *x) for x in IMPERIAL.items()],
)
def test_the_engines_sentences_in_the_units_shown(system, text, told):
    """Definitions of inch and yard: International Yard and Pound (1959); the mile of 5280 ft."""
    assert spoken(text, system).replace("\u00a0", " ") == told


def test_figures_do_not_part_from_their_units():
    assert spoken("9 % of 3 m", "metric") == "9\u00a0% of 3\u00a0m"


def sentences(found):
    """Every text with a space in it that hangs on a result of the engine."""
    if isinstance(found, str):
        yield from [found] if " " in found else []
    elif isinstance(found, dict):
        for value in found.values():
            yield from sentences(value)
    elif isinstance(found, (list, tuple)):
        for value in found:
            yield from sentences(value)
    elif dataclasses.is_dataclass(found):
        for field in dataclasses.fields(found):
            yield from sentences(getattr(found, field.name))


@pytest.fixture(scope="module")
def said():
    fitting = Fitting(demo_case())
    made = [make(fitting) for make in sections.SECTIONS.values()]
    return list(
        dict.fromkeys(sentences([*made, sections.driver_length(fitting), sections.next_ball(fitting)]))
    )


@pytest.mark.parametrize("system, foreign", [("metric", "in|mph|yd"), ("imperial", "m|cm|mm|km/h")])
def test_nothing_is_said_in_the_other_units(said, system, foreign):
    assert len(said) > 100
    for text in said:
        told = spoken(text, system).replace("\u00a0", " ")
        assert not re.search(rf"\d (?:{foreign})\b(?!/)", re.sub(r"in 20\d\d in", "", told)), told
        assert not re.search(r"\d deg\b|(?<![\w.])-\d|(?<![\w.])[+-]0(?:\.0+)?(?![\d.])", told), told
