"""Sixty made-up cases, and whether two copies of the engine give the same numbers for them.

    python tests/same_numbers.py OLD NEW [--every 5]   compare what `python -m engine` writes in two checkouts
    python tests/same_numbers.py make                  write tests/fixtures/cases again (seeded: the same files)

Numbers must agree to 1e-9, true and false, ids and what is missing must agree; sentences may differ. Every player, bag and
ball was invented by `made`.
"""

from __future__ import annotations

import argparse
import json
import random
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

CASES = Path(__file__).parent / "fixtures" / "cases"
COUNT = 60
SEED = 4711
TOLERANCE = 1e-9
INCH = 0.0254

# id: name, family, length [in], loft [deg], lie [deg], head [g]; round figures that nobody measured
CLUBS = {
    "dr": ("Driver", "driver", 45.25, 10.5, 58.0, 201),
    "3w": ("3-wood", "fairway", 43.0, 15.0, 57.0, 211),
    "5w": ("5-wood", "fairway", 42.25, 18.5, 57.5, 217),
    "7w": ("7-wood", "fairway", 41.5, 21.5, 58.0, 222),
    "4h": ("4-hybrid", "hybrid", 39.75, 22.5, 59.0, 239),
    "5h": ("5-hybrid", "hybrid", 39.0, 25.5, 60.0, 245),
    "4i": ("4-iron", "iron", 38.5, 23.0, 60.5, 248),
    "5i": ("5-iron", "iron", 38.0, 26.0, 61.0, 255),
    "6i": ("6-iron", "iron", 37.5, 29.5, 61.5, 262),
    "7i": ("7-iron", "iron", 37.0, 33.0, 62.0, 269),
    "8i": ("8-iron", "iron", 36.5, 37.0, 62.5, 276),
    "9i": ("9-iron", "iron", 36.0, 41.5, 63.0, 283),
    "pw": ("Pitching wedge", "wedge", 35.75, 46.0, 63.5, 289),
    "gw": ("Gap wedge", "wedge", 35.5, 50.0, 63.5, 294),
    "sw": ("Sand wedge", "wedge", 35.25, 55.0, 64.0, 300),
    "lw": ("Lob wedge", "wedge", 35.0, 59.0, 64.0, 303),
    "pt": ("Putter", "putter", 34.0, 3.5, 70.5, 345),
}
KINDS = ("present", "stepped", "single", "single_wedges", "two_lengths", "own")
# what may be said otherwise: sentences, and titles beside them
PROSE = {
    "advice",
    "actions",
    "check",
    "instead",
    "mishits",
    "name",
    "note",
    "notes",
    "parts",
    "problems",
    "reasons",
    "statements",
    "status",
    "text",
    "title",
    "warnings",
    "what",
    "why",
    "words",
}


def made(number: int) -> dict[str, Any]:
    """Case ``number``: an invented player with a bag, balls, layouts and wishes, the same at every call."""
    rng = random.Random(f"{SEED} {number}")
    sex = rng.choice(["female", "male", None])
    height = round(rng.gauss(1.66 if sex == "female" else 1.78, 0.07), 3)
    player: dict[str, Any] = {
        "label": f"Invented player {number}",
        "sex": sex,
        "handed": rng.choice(["right", "right", "right", "left"]),
        "height_m": height if rng.random() < 0.85 else None,
        "wingspan_m": round(height * rng.gauss(1.01, 0.02), 3) if rng.random() < 0.5 else None,
        "wrist_to_floor_m": round(height * rng.gauss(0.487, 0.012), 3) if rng.random() < 0.4 else None,
        "hand_length_m": round(height * rng.gauss(0.108, 0.004), 3) if rng.random() < 0.4 else None,
    }
    pace = rng.uniform(0.68, 1.22)  # of a usual carry
    swing = {
        "driver_speed_mps": round(42 * pace, 1) if rng.random() < 0.3 else None,
        "iron7_speed_mps": round(35 * pace, 1) if rng.random() < 0.3 else None,
        "attack_deg": round(rng.gauss(0, 2.5), 1) if rng.random() < 0.3 else None,
        "putter_lean_deg": round(rng.gauss(0, 2), 1) if rng.random() < 0.2 else None,
        "putter_attack_deg": round(rng.gauss(1, 2), 1) if rng.random() < 0.2 else None,
    }
    bag = _bag(rng)
    conditions = {
        "temperature_c": round(rng.uniform(2, 34), 1),
        "altitude_m": rng.choice([0.0, 0.0, 250.0, 1500.0]),
        "humidity": round(rng.uniform(0.2, 0.9), 2),
        "wind_mps": round(rng.choice([0, 0, 1, 1]) * rng.uniform(0.5, 8), 1),
        "wind_from_deg": float(rng.randrange(0, 360, 15)),
        "indoors": rng.random() < 0.15,
        "range_ball": rng.random() < 0.4,
    }
    layouts = _layouts(rng, bag)
    return {
        "format": "fettle-case",
        "version": 1,
        "player": player,
        "swing": swing,
        "bag": bag,
        "shots": _shots(rng, bag, pace, most=rng.choice([0, 1, 2, 4, 6])),
        "conditions": conditions,
        "layouts": layouts,
        "wants": _wants(rng, bag, layouts, pace),
        "retest": _shots(rng, bag, pace, most=3) if rng.random() < 0.25 else [],
    }


def _bag(rng: random.Random) -> list[dict[str, Any]]:
    if rng.random() < 0.08:
        return []  # the usual set
    scale = rng.choice([-1.0, -0.5, 0.0, 0.0, 0.5, 1.0])
    single = rng.random() < 0.12  # already of one length
    clubs = []
    for id_, (name, family, length, loft, lie, head) in CLUBS.items():
        sure = family in ("iron", "wedge") and id_ not in ("4i", "lw", "gw")
        if rng.random() > (0.95 if sure else 0.6):
            continue
        one = single and family in ("iron", "wedge")
        made_length = 37.0 if one else length + scale * (family != "putter")
        clubs.append(
            {
                "id": id_,
                "name": name,
                "family": family,
                "length_m": round(made_length * INCH, 4),
                "loft_deg": round(4 * (loft + rng.gauss(0, 0.6))) / 4,
                "lie_deg": 62.0 if one else round(4 * (lie + rng.gauss(0, 0.6))) / 4,
                "head_kg": 0.269 if one else round((head + rng.gauss(0, 2)) / 1000, 4),
                "bounce_deg": float(rng.randrange(3, 13))
                if family == "wedge" and rng.random() < 0.6
                else None,
                "head_material": rng.choice(["forged", "cast", None])
                if family in ("iron", "wedge")
                else None,
                "bend_limit_deg": rng.choice([None, None, None, 1.0, 3.0]),
            }
        )
    return clubs


def _shots(rng: random.Random, bag: list[dict[str, Any]], pace: float, *, most: int) -> list[dict[str, Any]]:
    full = [club for club in bag if club["family"] != "putter"]
    shots = []
    for club in rng.sample(full, min(most, len(full))):
        middle = pace * (262 - 3.05 * club["loft_deg"] if club["loft_deg"] > 14 else 212)
        middle = max(middle, 40.0)
        grip = rng.choice([0.0, 0.0, 0.0, 0.0127, 0.0508]) if club["family"] in ("iron", "wedge") else 0.0
        averaged = rng.random() < 0.1
        for _ in range(1 if averaged else rng.randrange(2, 9)):
            carry = rng.gauss(middle * (1 - 0.5 * grip), 0.045 * middle)
            if rng.random() < 0.07:
                carry *= 0.7  # thin or heavy
            shot: dict[str, Any] = {
                "club": club["id"],
                "carry_m": round(max(carry, 10.0), 1),
                "grip_down_m": grip,
            }
            if averaged:
                shot["balls"] = float(rng.randrange(4, 15))
            if rng.random() < 0.3:
                shot["side_m"] = round(rng.gauss(0, 0.06 * middle), 1)
            if rng.random() < 0.15:
                shot["club_speed_mps"] = round(pace * (46.5 - 0.28 * club["loft_deg"]), 1)
                shot["ball_speed_mps"] = round(shot["club_speed_mps"] * (1.5 - 0.0055 * club["loft_deg"]), 1)
            if rng.random() < 0.1:
                shot["launch_deg"] = round(4 + 0.42 * club["loft_deg"] + rng.gauss(0, 1), 1)
                shot["spin_rpm"] = round(1200 + 165 * club["loft_deg"] + rng.gauss(0, 250))
            if rng.random() < 0.05:
                shot["use"] = False
            if rng.random() < 0.05:
                shot["keep"] = True
            shots.append(shot)
    return shots


def _layouts(rng: random.Random, bag: list[dict[str, Any]]) -> list[dict[str, Any]]:
    if rng.random() < 0.1:
        return []
    kinds = ["present", *rng.sample(KINDS[1:], rng.randrange(1, 4))]
    irons = [club for club in bag if club["family"] in ("iron", "wedge")]
    layouts = []
    for kind in kinds:
        layout: dict[str, Any] = {"id": kind, "kind": kind}
        if kind in ("single", "single_wedges", "two_lengths") and rng.random() < 0.7:
            layout["common_length_m"] = round((36.5 + 0.25 * rng.randrange(0, 7)) * INCH, 4)
        if kind == "two_lengths":
            layout["second_length_m"] = round((35.0 + 0.25 * rng.randrange(0, 5)) * INCH, 4)
        if kind == "stepped" and rng.random() < 0.5:
            layout["length_step_m"] = round(rng.choice([0.25, 0.375, 0.5, 0.625]) * INCH, 5)
        if kind == "own" and irons:
            layout["clubs"] = [
                {
                    "id": club["id"],
                    "length_m": round(club["length_m"] + rng.choice([0.0, 0.25, -0.25]) * INCH, 4),
                    "loft_deg": club["loft_deg"] + rng.choice([0.0, 0.5, -1.0]),
                }
                for club in irons
            ]
        layouts.append(layout)
    return layouts


def _wants(
    rng: random.Random, bag: list[dict[str, Any]], layouts: list[dict[str, Any]], pace: float
) -> dict[str, Any]:
    wants: dict[str, Any] = {}
    irons = [club["id"] for club in bag if club["family"] in ("iron", "wedge")]
    if rng.random() < 0.25:
        wants["gap_m"] = round(rng.uniform(8, 14), 1)
    if layouts and rng.random() < 0.4:
        wants["layout"] = rng.choice(layouts)["id"]
    if rng.random() < 0.2:
        wants["clubs_most"] = float(rng.randrange(7, 15))
    if rng.random() < 0.3:
        wants["green_speed_m"] = round(rng.uniform(2.2, 3.6), 2)
    if len(irons) > 3 and rng.random() < 0.15:
        wants["carries"] = [{"id": irons[0], "carry_m": round(155 * pace, 1)}]
    if rng.random() < 0.25:
        faced = sorted(round(rng.uniform(60, 170) * pace, 1) for _ in range(6))
        wants["demand"] = [{"distance_m": far, "weight": float(rng.randrange(1, 5))} for far in faced]
    if rng.random() < 0.2:
        wants["ball"] = {
            "driver_spin": round(rng.uniform(0.85, 1.1), 2),
            "wedge_spin": round(rng.uniform(0.7, 1.2), 2),
        }
    if rng.random() < 0.3:
        wants["air"] = {"temperature_c": round(rng.uniform(0, 35), 1), "altitude_m": 600.0, "humidity": 0.4}
    return wants


def path_of(number: int) -> Path:
    return CASES / f"{number:02d}.json"


def write() -> None:
    CASES.mkdir(parents=True, exist_ok=True)
    for number in range(COUNT):
        text = json.dumps(made(number), separators=(",", ":"))
        path_of(number).write_text(text + "\n", encoding="utf-8")


# One interpreter for all cases of a tree; each goes through the command's own entry.
RUN = """
import contextlib, io, json, sys
from engine.__main__ import main
for path in sys.argv[1:]:
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        code = main([path])
    print(json.dumps([code, said.getvalue()]), flush=True)
"""


def results(tree: Path, numbers: range) -> subprocess.Popen[str]:
    paths = [str(path_of(number).resolve()) for number in numbers]
    return subprocess.Popen([sys.executable, "-c", RUN, *paths], cwd=tree, stdout=subprocess.PIPE, text=True)


def differences(old: Any, new: Any, path: str = "") -> Iterator[str]:
    """What differs between two result documents, by path; keys that only the new one has are no difference."""
    if path.rpartition(".")[2] in PROSE:
        return
    if isinstance(old, dict) and isinstance(new, dict):
        for key, value in old.items():
            if key in new:
                yield from differences(value, new[key], f"{path}.{key}")
            elif key not in PROSE:
                yield f"{path}.{key}: gone"
    elif isinstance(old, list) and isinstance(new, list):
        if len(old) != len(new):
            yield f"{path}: {len(old)} entries, now {len(new)}"
        for n, (a, b) in enumerate(zip(old, new, strict=False)):
            yield from differences(a, b, f"{path}[{n}]")
    elif isinstance(old, bool) or isinstance(new, bool) or not isinstance(old, int | float):
        prose = isinstance(old, str) and " " in old
        if old != new and not (prose and isinstance(new, str)):
            yield f"{path}: {old!r}, now {new!r}"
    elif not isinstance(new, int | float) or abs(old - new) > TOLERANCE * max(1.0, abs(old)):
        yield f"{path}: {old!r}, now {new!r}"


def compare(old: Path, new: Path, every: int) -> int:
    """Print what differs; the number of cases that do."""
    numbers = range(0, COUNT, every)
    runs = [results(tree, numbers) for tree in (old, new)]
    wrong = values = 0
    for number, lines in zip(numbers, zip(*(run.stdout or () for run in runs), strict=True), strict=True):
        (code, before), (after_code, after) = map(json.loads, lines)
        if code or after_code:
            found = [f"exit codes {code} and {after_code}"]
        else:
            documents = json.loads(before), json.loads(after)
            values += sum(1 for _ in numbers_in(documents[0]))
            found = list(differences(*documents))
        wrong += bool(found)
        for text in found[:10]:
            print(f"case {number:02d}: {text}")
        if len(found) > 10:
            print(f"case {number:02d}: and {len(found) - 10} more")
    print(
        f"{len(numbers)} cases, {values} numbers: {wrong or 'no'} case{'s' * (wrong != 1)} differ{'s' * (wrong == 1)}"
    )
    return wrong


def numbers_in(document: Any) -> Iterator[float]:
    if isinstance(document, dict):
        for value in document.values():
            yield from numbers_in(value)
    elif isinstance(document, list):
        for value in document:
            yield from numbers_in(value)
    elif isinstance(document, int | float) and not isinstance(document, bool):
        yield float(document)


def main() -> int:
    if sys.argv[1:] == ["make"]:
        write()
        return 0
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("old", type=Path)
    parser.add_argument("new", type=Path)
    parser.add_argument("--every", type=int, default=1, help="take only every so-manyth case")
    options = parser.parse_args()
    return 1 if compare(options.old, options.new, options.every) else 0


if __name__ == "__main__":
    sys.exit(main())
