"""`python -m engine` at its door: statements in the document, sentences beside them, and a whole report in words."""

import json
import re
from dataclasses import replace

import pytest

from app.demo import demo_case
from app.phrases import phrase
from engine.__main__ import main
from engine.documents.case import Case, Player
from engine.documents.reading import read_case
from engine.workshop.norms import norm_bag
from tests.app.driver import all_hit
from tests.app.golden.cases import cases, hit


@pytest.fixture
def written(tmp_path):
    def write(case):
        path = tmp_path / "case.json"
        path.write_text(json.dumps(case.to_doc()), encoding="utf-8")
        return str(path)

    return write


def test_the_document_holds_statements_and_the_same_in_words(written, capsys):
    shots = hit("7i", 140, 142) + hit("9i", 40)
    case = Case(player=Player(sex="male", height_m=1.8), bag=norm_bag("male"), shots=shots)
    assert main([written(case), "--draws", "32"]) == 0
    doc = json.loads(capsys.readouterr().out)
    assert doc["advice"] and doc["warnings"]
    for advice in doc["advice"]:
        assert advice["what"] == phrase(advice["statement"], "metric")
        assert advice["why"] == " ".join(phrase(reason, "metric") for reason in advice["reasons"])
    assert doc["warnings"] == [phrase(w, "metric") for w in doc["warning_statements"]]


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_words_are_printed_in_the_units_asked_for(written, capsys, system):
    assert main([written(demo_case()), "--draws", "32", "--words", system]) == 0
    told = capsys.readouterr().out.replace("\u00a0", " ")
    assert (
        told.startswith("Carries\n  ")
        and "Advice\n  " in told
        and "Build sheet\n" in told
        and "Putter\n" in told
    )
    other = {"metric": r"in|yd|mph", "imperial": r"m|cm|mm|km/h"}[system]
    assert not re.search(rf"\d (?:{other})\b(?!/)", told)
    assert not re.search(r"None|[{}]|quantities", re.sub(r"None of", "", told))
    lines = told.splitlines()
    assert len([x for x in lines if x.startswith("  ")]) > 40


def test_every_statement_of_a_club_is_told_under_its_name(written, capsys):
    assert main([written(cases()["all layouts"]), "--draws", "32", "--words", "metric"]) == 0
    told = capsys.readouterr().out
    assert "7 in 1 iron: " in told and "4 m wedge: " in told
    assert "178\u00a0mm" not in told and "178 mm" not in told and "yd" not in told


def test_carries_of_every_club_and_the_work_on_each_are_told_in_full(written, capsys):
    """The same figures as in the document, and a bend that the lofts name stands on the build sheet too."""
    case = replace(all_hit(demo_case()), wants=replace(demo_case().wants, gap_m=11.0))
    assert main([written(case), "--draws", "32"]) == 0
    doc = json.loads(capsys.readouterr().out)
    assert main([written(case), "--draws", "32", "--words", "metric"]) == 0
    told = capsys.readouterr().out.replace("\u00a0", " ")
    for layout, text in zip(doc["layouts"], told.split(" (m):")[1:], strict=False):
        for club in layout["clubs"]:
            carry = club["carry_m"]
            said = f"{carry['mean']:.0f} ({carry['lo90']:.0f} to {carry['hi90']:.0f})"
            line = next(x for x in text.splitlines() if x.strip().startswith(club["name"] + ":"))
            assert line.endswith("not known yet" if club["hit_first"] else said)
    sheet = told.split("Build sheet\n")[1].split("\n\n")[0]
    bent = [
        c["name"] for c in doc["build"]["clubs"] if any(a["kind"] == "work.bend_loft" for a in c["actions"])
    ]
    assert bent and all(re.search(rf"^  {name}: .*loft ", sheet, re.MULTILINE) for name in bent)


@pytest.mark.parametrize("case", ["03", "05", "10", "17"])
def test_work_that_lofts_have_named_stands_on_the_build_sheet_too(case, written, capsys):
    with open(f"tests/fixtures/cases/{case}.json", encoding="utf-8") as file:
        path = written(all_hit(read_case(json.load(file)), 32))
    assert main([path, "--draws", "32"]) == 0
    doc = json.loads(capsys.readouterr().out)
    assert main([path, "--draws", "32", "--words", "metric"]) == 0
    sheet = capsys.readouterr().out.split("Build sheet\n")[1].split("\n\n")[0]
    clubs = doc["build"]["clubs"]
    worked = [c["name"] for c in clubs if any(a["kind"] != "work.none" for a in c["actions"])]
    assert (worked or case == "10") and all(f"\n  {name}: " in f"\n{sheet}" for name in worked)


def test_without_the_phrases_the_document_comes_and_words_are_refused(written, capsys, monkeypatch):
    """As where the engine is installed by itself."""
    import importlib

    real = importlib.import_module

    def alone(name, *more):
        if name.startswith("app"):
            raise ModuleNotFoundError(name)
        return real(name, *more)

    monkeypatch.setattr("engine.__main__.importlib.import_module", alone)
    path = written(demo_case())
    assert main([path, "--draws", "32"]) == 0
    doc = json.loads(capsys.readouterr().out)
    assert doc["advice"][0]["what"] is None and doc["advice"][0]["statement"]["kind"].startswith("verdict.")
    assert main([path, "--draws", "32", "--words", "metric"]) == 2
    told = capsys.readouterr()
    assert told.out == "" and told.err.count("\n") == 1 and "--words" in told.err
