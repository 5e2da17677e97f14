"""Measures the engine against yardsticks in the same run, and the site's starts and bytes; prints medians."""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
import tomllib
from pathlib import Path
from typing import Any

from say import step

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-sync",
]


def run(root: Path, args: argparse.Namespace) -> int:
    sys.path.insert(0, str(root))
    budgets = tomllib.loads((Path(__file__).parent / "budgets.toml").read_text(encoding="utf-8"))
    measured = engine(args.runs) | sizes(root / "site") | starts(root / "site", args.runs)
    short = 0
    for name, value in measured.items():
        budget = budgets.get(name)
        verdict = ""
        if budget is not None:
            kept = value >= budget if name.endswith("_times") else value <= budget
            verdict = f"   budget {budget:g} {'kept' if kept else 'MISSED'}"
            short += not kept
        print(f"{name:34s} {value:10.3f}{verdict}")
    return 1 if short else 0


def median_time(work: Any, runs: int) -> float:
    took = []
    for _ in range(runs):
        began = time.perf_counter()
        work()
        took.append(time.perf_counter() - began)
    return statistics.median(took)


def engine(runs: int) -> dict[str, float]:
    """Flights beside looped `solve_ivp`, a whole solve of 14 clubs in four layouts, lofts for a gap, the length sweep."""
    import numpy as np
    from scipy.integrate import solve_ivp

    from app.demo import demo_case
    from engine.case import Layout
    from engine.flight.aerodynamics import SPIN_DECAY, aerodynamics
    from engine.flight.air import REFERENCE, Air, air_of
    from engine.flight.trajectory import Launch, fly
    from engine.layouts.lofts import lofts_for_gap
    from engine.layouts.sweep import sweep_lengths
    from engine.solve import _flights, _posterior, complete, posterior_of, solve
    from engine.units import BALL_AREA, BALL_DIAMETER, BALL_MASS, BALL_RADIUS, GRAVITY

    step("engine")
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

    looped = median_time(lambda: list(map(one, range(20))), 3) / 20
    case = demo_case()
    from dataclasses import replace

    case = replace(
        case,
        layouts=(
            Layout("now", "present"),
            Layout("stepped", "stepped"),
            Layout("single", "single"),
            Layout("two", "two_lengths"),
        ),
    )

    def whole() -> None:
        _posterior.cache_clear()
        _flights.cache_clear()
        solve(case)

    whole()
    case = complete(case)
    posterior, calm = posterior_of(case), air_of(REFERENCE)
    irons = [c for c in case.bag if c.family in ("iron", "wedge")]
    return {
        "trajectories_per_second": 1 / batch,
        "flight_over_solve_ivp_times": looped / batch,
        "solve_native_s": median_time(whole, runs),
        "lofts_native_s": median_time(
            lambda: lofts_for_gap(posterior, irons, calm, gap_m=11.0, anchor=irons[2].id, heads=case.bag),
            runs,
        ),
        "sweep_native_s": median_time(
            lambda: sweep_lengths(posterior, case.bag, calm, player=case.player), runs
        ),
    }


def sizes(site: Path) -> dict[str, float]:
    """Bytes until live, of a plain first visit and of one from the memory image, and of all files, as brotli (9) [MB]."""
    import brotli

    step("bytes")
    later = ("runtime/rest.tar.gz", "runtime/python_stdlib.zip")
    image = ("runtime/image.zst", "app/image.gz")
    plain = ("runtime/boot.tar.gz", "app/app.tar.gz", "runtime/stdlib.zip.gz")
    sums = {"first_visit_mb": 0.0, "image_visit_mb": 0.0, "app_release_mb": 0.0, "whole_site_mb": 0.0}
    for path in sorted(site.rglob("*")):
        name = path.relative_to(site).as_posix()
        if not path.is_file() or ".template." in name or name.startswith("images/"):
            continue
        data = path.read_bytes()
        size = min(len(data), len(brotli.compress(data, quality=9))) / 1e6
        sums["whole_site_mb"] += size
        if not name.startswith("runtime/"):
            sums["app_release_mb"] += size
        if name not in later and not name.startswith("icons/"):
            sums["first_visit_mb"] += size * (name not in image)
            sums["image_visit_mb"] += size * (name not in plain)
    return sums


def starts(site: Path, runs: int) -> dict[str, float]:
    """Seconds from navigation until the dashboard takes input: cold, and warm with the server gone."""
    import threading

    from commands import browser
    from playwright.sync_api import sync_playwright
    from serve import server

    step("starts")
    cold, warm = [], []
    with sync_playwright() as playwright:
        for _ in range(runs):
            host = server(site, 0)
            threading.Thread(target=host.serve_forever, daemon=True).start()
            with tempfile.TemporaryDirectory() as folder:
                context = playwright.chromium.launch_persistent_context(
                    folder,
                    executable_path=browser() or None,
                    args=FLAGS,
                    viewport={"width": 390, "height": 844},
                    has_touch=True,
                )
                page = context.new_page()
                page.goto(f"http://localhost:{host.server_address[1]}/")
                cold.append(_ready(page))
                _wait(page, "document.documentElement.dataset.offline == 'ready'")
                host.shutdown()
                host.server_close()
                page.reload()
                warm.append(_ready(page))
                context.close()
    return {"cold_s": statistics.median(cold), "warm_offline_s": statistics.median(warm)}


def _ready(page: Any) -> float:
    _wait(page, "performance.getEntriesByName('fettle-ready').length > 0")
    return page.evaluate("performance.getEntriesByName('fettle-ready')[0].startTime") / 1000


def _wait(page: Any, expression: str) -> None:
    end = time.time() + 120
    while not page.evaluate(expression):
        if time.time() > end:
            raise TimeoutError(expression)
        time.sleep(0.02)
