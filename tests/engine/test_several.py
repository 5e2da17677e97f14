"""Several cases to `python -m engine`: a line or rows each, in the order given, the faulty ones named."""

import csv
import io
import json
import re
from dataclasses import replace

import pytest

from engine.__main__ import main
from engine.documents.case import Case, Job, JobClub, Layout, Player, Session, Shot
from engine.several import COLUMNS
from engine.workshop.norms import norm_bag


def player(name, carry, **more):
    shots = tuple(Shot("7i", carry + step) for step in (-2.0, 0.0, 2.0))
    return Case(player=Player(label=name, sex="female"), bag=norm_bag("female"), shots=shots, **more)


PEOPLE = [player("Mirl Oake", 90.0), player("Tove Anselm", 120.0), player("Ruad Pike", 105.0)]


@pytest.fixture
def folder(tmp_path):
    for name, case in zip(("c", "a", "b"), PEOPLE, strict=True):
        (tmp_path / f"{name}.json").write_text(json.dumps(case.to_doc()), encoding="utf-8")
    (tmp_path / "notes.txt").write_text("not a case", encoding="utf-8")
    return tmp_path


def lines(capsys):
    told = capsys.readouterr()
    return [json.loads(line) for line in told.out.splitlines()], told.err


def of_7_iron(result):
    return result["shots"][0]["carry_m"]["mean"]


def test_files_come_in_the_order_given_as_one_line_each(folder, capsys):
    paths = [str(folder / f"{name}.json") for name in "bca"]
    assert main([*paths, "--draws", "16", "--jobs", "1"]) == 0
    found, said = lines(capsys)
    assert [one["source"] for one in found] == paths and said == ""
    assert [one["player"] for one in found] == ["Ruad Pike", "Mirl Oake", "Tove Anselm"]
    assert [of_7_iron(one) for one in found] == [105.0, 90.0, 120.0]


def test_a_line_holds_what_the_case_gives_alone(folder, capsys):
    path = str(folder / "a.json")
    assert main([path, "--draws", "16"]) == 0
    alone = json.loads(capsys.readouterr().out)
    assert main([path, str(folder / "b.json"), "--draws", "16", "--jobs", "1"]) == 0
    found, _ = lines(capsys)
    assert {k: v for k, v in found[0].items() if k not in ("source", "player")} == alone


def test_a_folder_is_read_by_name_and_only_its_documents(folder, capsys):
    names = ["a", "b", "c", *"zkxqfme"]
    for name in names[3:]:
        (folder / f"{name}.json").write_text(
            (folder / "a.json").read_text(encoding="utf-8"), encoding="utf-8"
        )
    assert main([str(folder), "--draws", "16", "--jobs", "1"]) == 0
    found, said = lines(capsys)
    assert [one["source"][-6:] for one in found] == [f"{name}.json" for name in sorted(names)] and said == ""


def test_processes_write_the_same_in_the_same_order(folder, capsys):
    assert main([str(folder), "--draws", "16", "--jobs", "1"]) == 0
    one = capsys.readouterr().out
    assert main([str(folder), "--draws", "16", "--jobs", "2"]) == 0
    assert capsys.readouterr().out == one


def test_a_file_of_all_players_gives_a_line_for_each(tmp_path, capsys):
    """As the page saves it: the format is the page's own, see `app.players`."""
    from app.state import State

    state = State()
    state.take_file(json.dumps(PEOPLE[0].to_doc()))
    state.take_file(json.dumps(PEOPLE[1].to_doc()))
    path = tmp_path / "all.json"
    path.write_text(json.dumps(state.to_doc()), encoding="utf-8")
    assert main([str(path), "--draws", "16", "--jobs", "1"]) == 0
    found, _ = lines(capsys)
    assert [one["source"] for one in found] == [f"{path}#{n + 1}" for n in range(len(found))]
    told = {one["player"]: of_7_iron(one) for one in found if one["shots"]}
    assert told == {"Mirl Oake": 90.0, "Tove Anselm": 120.0}


FAULTY = {
    "number.json": (
        json.dumps({**PEOPLE[0].to_doc(), "shots": [{"club": "7i", "carry_m": -3}]}),
        "shots[0].carry_m: must be a number from 1 to 400",
    ),
    "half.json": ('{"format": "fettle-case",', "document: is not JSON"),
    "newer.json": ('{"format": "fettle-case", "version": 99}', "version: is 99, newer"),
    "other.json": ('{"format": "something"}', 'format: must be "fettle-case"'),
    "none.json": (
        '{"format": "fettle-store", "version": 1, "players": []}',
        "players: the file holds no player",
    ),
}


def test_faulty_cases_are_named_and_the_others_go_on(folder, capsys):
    for name, (text, _) in FAULTY.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "latin.json").write_bytes('{"é": 1}'.encode("latin-1"))
    gone = str(folder / "gone.json")
    assert main([str(folder), gone, "--draws", "16", "--jobs", "1"]) == 2
    found, said = lines(capsys)
    assert [one["player"] for one in found] == ["Tove Anselm", "Ruad Pike", "Mirl Oake"]
    told = dict(line.split(": ", 1) for line in said.splitlines())
    assert len(told) == len(FAULTY) + 2
    for name, (_, fault) in FAULTY.items():
        assert told[str(folder / name)].startswith(fault)
    assert told[str(folder / "latin.json")] == "document: is not UTF-8 text"
    assert told[gone].startswith("document: cannot be read")


def test_a_file_that_is_too_large_is_refused_with_the_size_there_may_be(capsys):
    assert main(["-"], stdin=io.StringIO("[" + " " * 5_000_000 + "]")) == 2
    assert "document: is larger than 5 MB" in capsys.readouterr().err
    assert main(["-"], stdin=io.StringIO(" " * 50_000_001)) == 2
    assert "document: is larger than 50 MB" in capsys.readouterr().err


def test_an_empty_folder_is_said(tmp_path, capsys):
    assert main([str(tmp_path)]) == 2
    told = capsys.readouterr()
    assert told.out == "" and "holds no .json file" in told.err


def test_the_table_has_a_row_for_each_club_of_each_layout(tmp_path, capsys):
    layouts = (Layout("now", "present"), Layout("one", "single"))
    case = player("=SUM(A1)", 110.0, layouts=layouts)
    path = tmp_path / "x.json"
    path.write_text(json.dumps(case.to_doc()), encoding="utf-8")
    assert main([str(path), "--csv", "--draws", "64"]) == 0
    text = capsys.readouterr().out
    assert main([str(path), "--draws", "64"]) == 0
    result = json.loads(capsys.readouterr().out)
    rows = list(csv.DictReader(io.StringIO(text)))
    assert tuple(rows[0]) == COLUMNS
    assert [(r["layout"], r["club"]) for r in rows] == [
        (layout["id"], club["id"]) for layout in result["layouts"] for club in layout["clubs"]
    ]
    assert {r["player"] for r in rows} == {"'=SUM(A1)"}, "no spreadsheet takes a name for a formula"
    clubs = [club for layout in result["layouts"] for club in layout["clubs"]]
    for row, club in zip(rows, clubs, strict=True):
        carry = club["carry_m"]
        assert row["hit_first"] == ("yes" if club["hit_first"] else "")
        if club["hit_first"]:  # the screens give no number either
            assert row["carry_m"] == row["carry_lo90_m"] == row["carry_hi90_m"] == ""
            continue
        assert float(row["carry_m"]) == pytest.approx(carry["mean"], abs=0.006)
        assert float(row["carry_lo90_m"]) == pytest.approx(carry["lo90"], abs=0.006)
        assert float(row["carry_hi90_m"]) == pytest.approx(carry["hi90"], abs=0.006)
    for row, club in zip(rows, clubs, strict=True):
        for figure in ("length_m", "loft_deg", "lie_deg", "head_kg"):
            assert float(row[figure]) == pytest.approx(club[figure], abs=1e-5)
    assert 0 < sum(row["hit_first"] == "yes" for row in rows) < len(rows)
    assert {row["sessions"] for row in rows} == {"1"}
    days = Session("a", "2031-03-01"), Session("b", "2031-03-09")
    jobs = (
        Job("o", "ordered", "2031-04-02", (JobClub("7i"),)),
        Job("p", "ordered", "2031-04-09", (JobClub("7i"),)),
        Job("m", "built", "2031-05-03", (JobClub("7i"), JobClub("9i"))),
    )
    shots = tuple(replace(s, session="ab"[n % 2]) for n, s in enumerate(case.shots))
    path.write_text(
        json.dumps(replace(case, shots=shots, sessions=days, jobs=jobs).to_doc()), encoding="utf-8"
    )
    assert main([str(path), "--csv", "--draws", "64"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert {row["sessions"] for row in rows} == {"2"}
    by_club = {
        row["club"]: [row[f"{what}_on"] for what in ("hit", "ordered", "measured", "built")] for row in rows
    }
    hit = max(one.date for one in days if any(s.club == "7i" and s.session == one.id for s in shots))
    assert by_club["7i"] == [hit, "2031-04-09", "", "2031-05-03"] and by_club["9i"][1:] == [
        "",
        "",
        "2031-05-03",
    ]
    assert by_club["lw" if "lw" in by_club else "sw"] == ["", "", "", ""]


def test_the_work_of_a_layout_is_its_own(tmp_path, capsys):
    """The present set asks for none; one length asks for work on irons that are of another."""
    case = player("Mirl Oake", 110.0, layouts=(Layout("now", "present"), Layout("one", "single")))
    path = tmp_path / "x.json"
    path.write_text(json.dumps(case.to_doc()), encoding="utf-8")
    assert main([str(path), "--csv", "--draws", "16"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    work = {(r["layout"], r["club"]): r["work"] for r in rows}
    assert work["now", "6i"] == work["now", "pw"] == "work.none"
    assert work["one", "6i"].startswith("work.") and "=" in work["one", "6i"] and "=" in work["one", "pw"]
    assert not any("work.none;" in w for w in work.values()), "work.none stands alone"
    assert main([str(path), "--csv", "--words", "imperial", "--draws", "16"]) == 0
    told = {(r["layout"], r["club"]): r["work"] for r in csv.DictReader(io.StringIO(capsys.readouterr().out))}
    assert told["now", "6i"] == "leave as it is" and re.search(
        r" in\b", told["one", "pw"].replace("\u00a0", " ")
    )
    chosen = replace(case, wants=replace(case.wants, layout="one"))
    path.write_text(json.dumps(chosen.to_doc()), encoding="utf-8")
    assert main([str(path), "--draws", "16"]) == 0
    sheet = json.loads(capsys.readouterr().out)["build"]["clubs"]
    from app.phrases import phrase

    for club in sheet:
        said = [phrase(s, "imperial") for part in ("actions", "problems", "look_for") for s in club[part]]
        said = [x for x in said if x != "leave as it is"] or said
        assert told["one", club["id"]] == "; ".join(said).replace("\u00a0", " ").replace("\u2212", "-")


def test_sentences_are_of_one_case_only(folder, capsys):
    assert main([str(folder), "--words", "metric"]) == 2
    assert "single case" in capsys.readouterr().err


def test_standard_input_may_hold_all_players(capsys):
    doc = {
        "format": "fettle-store",
        "version": 1,
        "players": [{"case": case.to_doc()} for case in PEOPLE[:2]],
    }
    assert main(["-", "--draws", "16", "--jobs", "1"], stdin=io.StringIO(json.dumps(doc))) == 0
    found, _ = lines(capsys)
    assert [one["source"] for one in found] == ["-#1", "-#2"]


def test_lofts_are_spoken_of_only_where_they_are_asked_for(tmp_path, capsys):
    """Else the sheet leaves a club as it is and the section on lofts bends it."""
    path = tmp_path / "x.json"
    case = player("Mirl Oake", 110.0)
    told = []
    for gap in (None, 12.0):
        wanted = replace(case, wants=replace(case.wants, gap_m=gap))
        path.write_text(json.dumps(wanted.to_doc()), encoding="utf-8")
        assert main([str(path), "--draws", "16"]) == 0
        plan = json.loads(capsys.readouterr().out)["lofts"]
        assert main([str(path), "--draws", "16", "--words", "metric"]) == 0
        told.append((plan is not None, "\nLofts\n" in capsys.readouterr().out))
    assert told == [(False, False), (True, True)]
