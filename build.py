#!/usr/bin/env python3
"""Fettle's one tool: builds, serves, tests and measures the site.

    python3 build.py build      make site/ complete
    python3 build.py serve      build, then serve on http://localhost:8080 (--port to change)
    python3 build.py test       build, then run every test, in a real browser too
    python3 build.py bench      measure starts, bytes and redraws against the budgets
    python3 build.py soak       run the tests that are marked so: whole counts of kills, fuzz, interruptions
    python3 build.py mutate     put small faults into engine and app and count those the tests notice
    python3 build.py compare    our error against a ruler, on invented players (see DEVELOPERS.md)
    python3 build.py figures    measure the figures shown under "Methods and settings" again (app/validation.json)
    python3 build.py pictures   make the pictures of the README from the built site
    python3 build.py check      lint, format and types
    python3 build.py sbom       list every piece from outside with licence and hash in site/sbom.cdx.json
    python3 build.py lock       write fettle.lock again from pyproject.toml (see DEVELOPERS.md)

Only the standard library is imported here. The first run makes .venv beside this file from the hashes in
fettle.lock and starts this file again inside it.
"""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
sys.path.insert(0, str(ROOT / ".make"))
sys.dont_write_bytecode = True

import env  # noqa: E402  (needs the path above)
from console import BuildError, fail  # noqa: E402


def arguments(argv: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description=(__doc__ or "").split("\n")[0], epilog="See DEVELOPERS.md for what each step does."
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="command")

    def command(name: str, help_: str) -> argparse.ArgumentParser:
        sub = commands.add_parser(name, help=help_)
        sub.add_argument("--pyodide", type=Path, metavar="DIR", help="take the runtime from a local folder")
        return sub

    command("build", "make site/ complete")
    serve = command("serve", "build, then serve the site")
    serve.add_argument("--port", type=int, default=8080)
    command("test", "build, then run all tests; further arguments go to pytest")
    bench = command("bench", "measure against the budgets")
    bench.add_argument("--runs", type=int, default=5)
    bench.add_argument(
        "--only",
        choices=[
            "engine",
            "bytes",
            "memory",
            "players",
            "starts",
            "first",
            "link",
            "plain",
            "image",
            "stock",
            "bare",
        ],
    )
    bench.add_argument("--no-slow", action="store_true", help="leave out the slowed processor")
    command("soak", "build, then run the tests of whole counts; further arguments go to pytest")
    compare = command("compare", "our error against a ruler, on invented players")
    compare.add_argument("--players", type=int, default=34, help="of each of three kinds, in every set")
    compare.add_argument("--seed", type=int, default=777)
    figures = command("figures", "measure the figures of the methods page again")
    figures.add_argument("--players", type=int, default=34, help="of each of three kinds, in every set")
    figures.add_argument("--seed", type=int, default=778)
    command("pictures", "build, then make the pictures of the README and a sheet to look them over")
    command("sbom", "write site/sbom.cdx.json, the list of all pieces from outside")
    mutate = command("mutate", "small faults in engine and app, and whether the tests notice")
    mutate.add_argument("--sample", type=int, default=300, metavar="N", help="how many faults")
    mutate.add_argument("--seed", type=int, default=1, metavar="N", help="another seed draws others")
    mutate.add_argument("--only", choices=["engine", "app"])
    mutate.add_argument(
        "--at", metavar="FILE:LINE", action="append", help="every fault of one line instead of a sample"
    )
    mutate.add_argument(
        "--jobs", type=int, default=os.cpu_count() or 1, metavar="N", help="processes at a time"
    )
    mutate.add_argument(
        "--budget", type=float, default=60.0, metavar="S", help="seconds of tests for each fault"
    )
    command("check", "lint and types")
    command("lock", "write fettle.lock again")
    args, rest = parser.parse_known_args(argv)
    if rest and args.command not in ("test", "soak"):
        parser.error(f"unknown argument: {rest[0]}")
    args.rest = [part for part in rest if part != "--"]
    return args


def main(argv: list[str]) -> int:
    args = arguments(argv)
    try:
        if args.command == "lock":
            import lock

            lock.write(ROOT)
            return 0
        env.ensure(ROOT, argv)  # does not come back unless this is the project's own interpreter
        import commands

        return commands.run(ROOT, args)
    except BuildError as error:
        return fail(str(error))
    except KeyboardInterrupt:
        return fail("stopped by the keyboard")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
