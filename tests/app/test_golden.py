"""What is said in both systems of units, as it was last written down on purpose, and what players made up bring up today."""

import json
import re

import pytest

from app.phrases import phrase
from tests.app.golden.make import KINDS_FILE, SYSTEMS, brought_up, every_kind, in_words, kept, pasted


def test_sentences_change_on_purpose_only():
    """Written anew by ``python -m tests.app.golden.make``; what changed then shows in the file."""
    players = kept()["players"]
    now = in_words({name: [entry["statement"] for entry in told] for name, told in players.items()})
    assert sum(len(told) for told in players.values()) > 300
    for name, told in players.items():
        for was, entry in zip(told, now[name], strict=True):
            assert entry == was, name


def test_words_of_every_kind_change_on_purpose_only():
    written, now = json.loads(KINDS_FILE.read_text(encoding="utf-8")), every_kind()
    assert written.keys() == now.keys()
    for kind, told in written.items():
        assert now[kind] == told, kind


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_is_said_of_pasted_texts_changes_on_purpose_only(system):
    written, now = kept()["pasted"], pasted()
    assert written.keys() == now.keys()
    for name, told in written.items():
        assert now[name][system] == told[system], name


@pytest.fixture(scope="module")
def today():
    """Statements that the engine brings up now."""
    return brought_up()


@pytest.mark.parametrize(
    ("system", "foreign"), [("metric", "in|mph|yd|ft/s"), ("imperial", "m|cm|mm|km/h|m/s")]
)
def test_nothing_is_said_in_the_other_units(today, system, foreign):
    """But for the names that people gave their clubs."""
    told = [phrase(statement, system) for listed in today.values() for statement in listed]
    assert len(told) > 300
    for sentence in told:
        text = sentence.replace("\u00a0", " ").replace("7 in 1 iron", "").replace("4 m wedge", "")
        assert not re.search(rf"\d (?:{foreign})\b(?!/)", text), text
        assert not re.search(r"\d deg\b|(?<![\w.])-\d|(?<![\w.])[+-]0(?:\.0+)?(?![\d.])", text), text


def test_names_of_clubs_are_said_as_they_were_written(today):
    for system in SYSTEMS:
        text = " ".join(phrase(statement, system) for statement in today["all layouts"])
        assert "7 in 1 iron" in text and "4 m wedge" in text
        assert "178 mm" not in text and "yd wedge" not in text
