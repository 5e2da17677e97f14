"""Every sentence that made-up players bring up, in both systems of units, as it was last written down on purpose."""

import json

import pytest

from tests.app.golden.make import FILE, made


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
