"""Measures starts, redraws, sums and bytes beside their yardsticks in one run; prints medians and what falls short."""

from __future__ import annotations

import argparse
import sys
import tomllib
from collections.abc import Iterable
from pathlib import Path

from console import step

# Seconds depend on the machine and what else it does; these do not, or much less: a run fails on them alone.
FIRM = ("_times", "_share", "_mb")


def run(root: Path, args: argparse.Namespace) -> int:
    sys.path.insert(0, str(root))
    budgets = tomllib.loads((Path(__file__).parent / "budgets.toml").read_text(encoding="utf-8"))
    measured: dict[str, float] = {}
    if args.only in (None, "engine"):
        import bench_engine

        step("engine")
        for sums in (bench_engine.flights(args.runs), bench_engine.sliders(args.runs)):
            measured |= sums
        measured |= bench_engine.solves(root, args.runs)
        measured |= bench_engine.scripts(root)
        measured |= bench_engine.players(args.runs)
    if args.only in (None, "bytes"):
        step("bytes")
        measured |= sizes(root / "site")
    sites = [s for s in ("plain", "image", "stock", "bare") if args.only in (None, s, "starts")]
    if sites and "bare" not in sites:
        sites.append("bare")  # the yardstick of any machine
    if sites:
        import bench_starts

        for slow in (False,) if args.no_slow else (False, True):
            measured |= bench_starts.measure(root, sites, args.runs, slow=slow)
    if args.only in (None, "link", "starts") and not args.no_slow:
        import bench_starts

        measured |= bench_starts.far(root, args.runs)
    if args.only in (None, "memory"):
        import bench_memory

        measured |= bench_memory.memory(root, args.runs)
    if args.only in (None, "players"):
        import bench_engine
        import bench_starts

        measured |= bench_starts.players(root, args.runs, bench_engine.many_players())
    if args.only in (None, "first", "starts"):
        import bench_starts

        measured |= bench_starts.first(root, args.runs)
    return report(measured, budgets)


def report(measured: dict[str, float], budgets: dict[str, float]) -> int:
    """Print each figure with its budget; 1 if a firm one is not kept."""
    short = 0
    for name, value in measured.items():
        line = f"{name:32s} {value:12.3f}"
        budget = budgets.get(name)
        if budget is not None:
            kept = value >= budget if name.endswith("_times") else value <= budget
            firm = name.endswith(FIRM)
            short += firm and not kept
            line += f"   budget {budget:g}: {'kept' if kept else 'MISSED' if firm else 'not reached on this machine'}"
        print(line)
    return 1 if short else 0


# What each way of starting fetches before it is live; the rest of the site both need.
LATER = {"runtime/rest.tar.zst", "runtime/stdlib-rest.zip.zst"}
IMAGE = {"runtime/image.zst", "app/image.zst"}
PLAIN = {"runtime/boot.tar.zst", "runtime/stdlib.zip.zst", "app/app.tar.zst"}


def sizes(site: Path) -> dict[str, float]:
    """Bytes until live, of a plain first visit and of one from the memory image, and of all files, as brotli (9) [MB]."""
    sums = {"first_visit_mb": 0.0, "image_visit_mb": 0.0, "app_release_mb": 0.0, "whole_site_mb": 0.0}
    for name, size in compressed(site):
        sums["whole_site_mb"] += size
        if not name.startswith("runtime/"):
            sums["app_release_mb"] += size
        if name not in LATER and not name.startswith("icons/"):
            sums["first_visit_mb"] += size * (name not in IMAGE)
            sums["image_visit_mb"] += size * (name not in PLAIN)
    return sums


def compressed(site: Path) -> Iterable[tuple[str, float]]:
    """Path and size [MB] of each published file, as brotli at quality 9 where that is smaller."""
    import brotli

    for path in sorted(site.rglob("*")):
        name = path.relative_to(site).as_posix()
        if not path.is_file() or ".template." in name or name.startswith("images/"):
            continue
        data = path.read_bytes()
        yield name, min(len(data), len(brotli.compress(data, quality=9))) / 1e6
