"""Every sentence that made-up players bring up, in both systems of units, as it was last written down on purpose."""

import json
import re

import pytest

from tests.app.golden.make import FILE, KINDS_FILE, every_kind, made


@pytest.fixture(scope="module")
def told():
    return made()


def test_sentences_change_on_purpose_only(told):
    """Written anew by ``python -m tests.app.golden.make``; what changed then shows in the file."""
    kept = json.loads(FILE.read_text(encoding="utf-8"))
    assert told.keys() == kept.keys()
    for case, systems in kept.items():
        for system, parts in systems.items():
            for part, sentences in parts.items():
                assert told[case][system].get(part) == sentences, (case, system, part)
            assert told[case][system].keys() == parts.keys(), (case, system)


def test_words_of_every_kind_change_on_purpose_only():
    kept, now = json.loads(KINDS_FILE.read_text(encoding="utf-8")), every_kind()
    assert kept.keys() == now.keys()
    for kind, told in kept.items():
        assert now[kind] == told, kind


@pytest.mark.parametrize(
    ("system", "foreign"), [("metric", "in|mph|yd|ft/s"), ("imperial", "m|cm|mm|km/h|m/s")]
)
def test_nothing_is_said_in_the_other_units(told, system, foreign):
    """But for the names that people gave their clubs."""
    seen = 0
    for parts in (systems[system] for case, systems in told.items() if not case.startswith("pasted")):
        for sentence in (s for sentences in parts.values() for s in sentences):
            text = sentence.replace("\u00a0", " ").replace("7 in 1 iron", "").replace("4 m wedge", "")
            assert not re.search(rf"\d (?:{foreign})\b(?!/)", text), text
            assert not re.search(r"\d deg\b|(?<![\w.])-\d|(?<![\w.])[+-]0(?:\.0+)?(?![\d.])", text), text
            seen += 1
    assert seen > 500


def test_names_of_clubs_are_said_as_they_were_written(told):
    for system in ("metric", "imperial"):
        text = json.dumps(told["all layouts"][system])
        assert "7 in 1 iron" in text and "4 m wedge" in text
