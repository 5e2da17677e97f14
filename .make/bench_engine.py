"""The sums: flights beside looped `solve_ivp`, a whole solve natively and in the browser, and what sliders ask for."""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

# Runs natively and in the browser alike: 14 clubs in four layouts, 256 draws; nothing is kept from one solve to the next.
SOLVE = """
import statistics, time
from dataclasses import replace
from app.demo import demo_case
from app.players import norm_bag
from engine.solve import solve
from engine.documents.case import Layout

kinds = ("present", "stepped", "single", "two_lengths")
case = replace(demo_case(), layouts=tuple(Layout(kind, kind) for kind in kinds))
assert len(case.bag) == 14, len(case.bag)
took = []
for _ in range(RUNS + 1):
    began = time.perf_counter()
    solve(case, draws=256)
    took.append(time.perf_counter() - began)
seconds = statistics.median(took[1:])  # the first one also imports and compiles
"""


def median_time(work: Callable[[], Any], runs: int) -> float:
    took = []
    for _ in range(runs):
        began = time.perf_counter()
        work()
        took.append(time.perf_counter() - began)
    return statistics.median(took)


def flights(runs: int) -> dict[str, float]:
    """Flights of one batch against the same forces stepped one by one by scipy's `solve_ivp`."""
    import numpy as np
    from scipy.integrate import solve_ivp

    from engine.physics.aerodynamics import SPIN_DECAY, aerodynamics
    from engine.physics.air import Air
    from engine.physics.trajectory import Launch, fly
    from engine.units import BALL_AREA, BALL_DIAMETER, BALL_MASS, BALL_RADIUS, GRAVITY

    rng = np.random.default_rng(1)
    count = 4096
    speed, angle, spin = (
        rng.uniform(25, 80, count),
        rng.uniform(0.15, 0.5, count),
        rng.uniform(200, 900, count),
    )
    air, model = Air(1.2, 1.81e-5), aerodynamics()
    batch = median_time(lambda: fly(Launch(speed, angle, spin), air), runs) / count

    def one(i: int) -> None:
        axis = np.array([0.0, -1.0, 0.0])

        def rate(_: float, y: Any) -> Any:
            size = np.linalg.norm(y[3:6])
            cd, cl = model(air.density * size * BALL_DIAMETER / air.viscosity, y[6] * BALL_RADIUS / size)
            force = 0.5 * air.density * BALL_AREA * size * (-cd * y[3:6] + cl * np.cross(axis, y[3:6]))
            return [*y[3:6], *(force / BALL_MASS - [0, 0, GRAVITY]), -SPIN_DECAY * y[6] * size / BALL_RADIUS]

        def ground(t: float, y: Any) -> float:
            return y[2] if t > 1e-3 else 1.0

        ground.terminal, ground.direction = True, -1  # type: ignore[attr-defined]
        start = [0, 0, 0, speed[i] * np.cos(angle[i]), 0, speed[i] * np.sin(angle[i]), spin[i]]
        solve_ivp(rate, (0, 30), start, rtol=1e-6, events=ground)

    looped = median_time(lambda: list(map(one, range(20))), min(runs, 3)) / 20
    return {"trajectories_per_second": 1 / batch, "flight_over_solve_ivp_times": looped / batch}


def solves(root: Path, runs: int) -> dict[str, float]:
    """Seconds of one solve: here, and by the same engine in the browser's worker."""
    from bench_starts import browsed, folder_of

    native: dict[str, Any] = {"RUNS": runs}
    exec(SOLVE, native)  # the very text that the browser runs
    home = root / ".cache" / "bench"
    folder_of(home, root)
    (home / "solve.json").write_text(json.dumps(f"RUNS = {runs}\n{SOLVE}"), encoding="utf-8")
    with browsed(home) as (page, address):
        page.goto(address + "solve.html")
        _wait(page)
        browser = page.evaluate("window.answer")
    return {
        "solve_native_s": native["seconds"],
        "solve_browser_s": browser,
        "solve_browser_over_native_share": browser / native["seconds"],
    }


def sliders(runs: int) -> dict[str, float]:
    """Lofts for a gap and the sweep of common lengths, which sliders call."""
    from app.demo import demo_case
    from engine.fitting.fitting import Fitting
    from engine.physics.air import REFERENCE, air_of
    from engine.sets.common_length import sweep_lengths
    from engine.sets.lofts import lofts_for_gap

    fitting = Fitting(demo_case())
    case, posterior, calm = fitting.case, fitting.posterior, air_of(REFERENCE)
    irons = [c for c in case.bag if c.family in ("iron", "wedge")]
    anchor = irons[2].id
    return {
        "lofts_native_s": median_time(
            lambda: lofts_for_gap(posterior, irons, calm, gap_m=11.0, anchor=anchor, heads=case.bag), runs
        ),
        "sweep_native_s": median_time(
            lambda: sweep_lengths(posterior, case.bag, calm, player=case.player), runs
        ),
    }


def scripts(root: Path) -> dict[str, float]:
    """A hundred invented players by `python -m engine`: one after another, and two at a time."""
    from dataclasses import replace

    from app.demo import demo_case

    folder = root / ".cache" / "bench" / "cases"
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(100):
        case = demo_case()
        faster = 0.8 + 0.004 * number
        shots = tuple(replace(s, carry_m=s.carry_m and round(faster * s.carry_m, 1)) for s in case.shots)
        doc = replace(case, shots=shots).to_doc()
        (folder / f"player-{number:03d}.json").write_text(json.dumps(doc), encoding="utf-8")
    command = [sys.executable, "-m", "engine", str(folder), "--jobs"]
    took = []
    for jobs in ("1", "2"):
        began = time.perf_counter()
        lines = subprocess.run([*command, jobs], cwd=root, check=True, stdout=subprocess.PIPE).stdout
        took.append(time.perf_counter() - began)
        assert lines.count(b"\n") == 100
    return {"hundred_cases_s": took[1], "hundred_cases_on_two_cores_times": took[0] / took[1]}


def many_players() -> str:
    """What a coach's device has stored: 300 invented players with five sessions of 25 balls each."""
    from dataclasses import replace

    from app import edits
    from app.demo import demo_case
    from app.players import Entry, complete
    from app.state import State
    from engine.documents.case import Session

    state, entries = State(), []
    for number in range(300):
        case = edits.player("label")(demo_case(), f"Player {number:03d} Winterbourne")
        days = tuple(Session(f"s{n}", f"2031-{1 + n:02d}-{1 + number % 28:02d}") for n in range(5))
        shots = tuple(replace(s, session=f"s{n % 5}") for n, s in enumerate(5 * case.shots))
        player = replace(case.player, tags=(f"group {number % 7}",), note="invented, " * 20)
        case = replace(case, player=player, shots=shots, sessions=days)
        entries.append(Entry(f"p{number:010x}", complete(case)))
    state.store = replace(state.store, players=tuple(entries), open=entries[0].id)
    return json.dumps(state.to_doc(), separators=(",", ":"))  # as it is saved


def players(runs: int) -> dict[str, float]:
    """A coach's list of 300 invented players: opening it, a key in its search, and the file of them all, out and in."""
    from app import edits
    from app.main import Page
    from app.state import State

    page = Page({"saved": many_players()})
    opened = median_time(lambda: page.go("players"), 1)
    search = page.here.search.view  # type: ignore[attr-defined]
    took = []
    for typed in ("w", "wi", "win", "winter", "winter g", "winter group 3", "winter group", "") * runs:
        began = time.perf_counter()
        search.value_input = typed
        took.append(time.perf_counter() - began)
    page.state.flush()

    def edit() -> None:
        page.state.change(lambda c: edits.player("height_m")(c, 1.6 + 0.01 * len(took)), "height changed")
        page.state.flush()

    saved = median_time(edit, 1)
    other, texts = State(), []
    out = median_time(lambda: texts.append(json.dumps(page.state.share_all())), 1)
    first, again = (median_time(lambda: other.take_file(texts[0]), 1) for _ in range(2))
    return {
        "players_open_ms": 1000 * opened,
        "players_key_ms": 1000 * max(took),
        "players_save_ms": 1000 * saved,
        "players_file_out_s": out,
        "players_file_in_s": first,
        "players_file_again_s": again,
    }


def _wait(page: Any) -> None:
    end = time.time() + float(os.environ.get("FETTLE_PATIENCE", "300"))
    while page.evaluate("window.answer") is None:
        if time.time() > end:
            raise TimeoutError("the browser did not solve in time")
        time.sleep(0.1)
