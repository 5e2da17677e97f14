"""A release from before version 2, taken out of the history: what it says of newer links and files, and what it hands on."""

import io
import json
import subprocess
import sys
import tarfile
from dataclasses import replace
from pathlib import Path

import pytest

from app import link
from app.demo import demo_case
from engine.documents.case import Session

ROOT = Path(__file__).parents[2]
RELEASE = "730f693"  # wrote the fixtures that open for ever
PARTS = ("app/__init__.py", "app/bridge.py", "app/link.py", "app/state.py", "engine")
READER = """
import json, sys
from app import link
from app.state import State
from engine.case import CaseError, read_case
fragment, doc = json.load(sys.stdin)
opened = link.read(fragment)
state = State()
said = {"link": opened.problem, "file": state.take_file(json.dumps(doc)), "players": len(state.store.players)}
try:
    case = read_case(doc)
    said |= {"case": "", "carries": [s.carry_m for s in case.shots], "written": case.to_doc()}
    said["handed on"] = link.make(opened.case).hash if opened.case else ""
except CaseError as error:
    said["case"] = str(error)
print(json.dumps(said))
"""


@pytest.fixture(scope="module")
def old(tmp_path_factory):
    """What the old release's readers say of a case, as link and as file."""
    made = subprocess.run(["git", "archive", RELEASE, *PARTS], cwd=ROOT, capture_output=True, check=False)
    if made.returncode:
        pytest.skip("there is no history here")
    there = tmp_path_factory.mktemp("old")
    with tarfile.open(fileobj=io.BytesIO(made.stdout)) as files:
        files.extractall(there, filter="data")

    def read(case):
        told = json.dumps([link.make(case).hash, case.to_doc()])
        ran = subprocess.run(
            [sys.executable, "-c", READER], cwd=there, input=told, capture_output=True, text=True, check=True
        )
        return json.loads(ran.stdout)

    return read


def on_days(*days):
    case = demo_case()
    shots = tuple(replace(s, session=days[n % len(days)].id) for n, s in enumerate(case.shots))
    return replace(case, sessions=days, shots=shots)


def test_a_release_of_version_1_refuses_version_2_in_words_and_takes_nothing_in(old):
    said = old(on_days(Session("a", "2031-05-03"), Session("b", "2031-06-03")))
    assert "newer version; reload" in said["link"] and "newer version; reload" in said["file"]
    assert "is 2, newer than this program reads (1)" in said["case"]
    assert said["players"] == 1


def test_a_release_of_version_1_takes_balls_of_one_session_and_hands_on_what_it_does_not_know(old):
    case = on_days(Session("a", "2031-05-03", "the far range"))
    said = old(case)
    assert said["link"] == said["case"] == "" and said["players"] == 2
    assert said["carries"] == [s.carry_m for s in case.shots]
    assert said["written"]["sessions"][0]["place"] == "the far range"
    back = link.read(said["handed on"]).case
    assert back.sessions == case.sessions and {s.session for s in back.shots} == {"a"}
