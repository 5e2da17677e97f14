"""fettle.lock: every piece from outside, with its version and sha256, in one TOML file.

``[[native]]`` entries are the packages of .venv for CPython 3.11 to 3.14 on Linux and macOS; the pure Python ones are
also what runs in the browser. ``[web]`` holds what only the browser runs: Python itself and the compiled packages.
"""

from __future__ import annotations

import re
import subprocess
import tomllib
from pathlib import Path
from typing import Any

from console import BuildError, step

NAME = "fettle.lock"


def read(root: Path) -> dict[str, Any]:
    path = root / NAME
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise BuildError(f"{NAME} is missing; take it from the repository again") from None
    except tomllib.TOMLDecodeError as error:
        raise BuildError(f"{NAME} cannot be read: {error}") from None


def requirements(entries: list[dict[str, Any]]) -> str:
    """The entries as pip's requirements, to be used with --require-hashes."""
    lines = []
    for entry in entries:
        marker = f" ; {entry['marker']}" if "marker" in entry else ""
        hashes = "".join(f" \\\n    --hash=sha256:{value}" for value in entry["sha256"])
        lines.append(f"{entry['name']}=={entry['version']}{marker}{hashes}\n")
    return "".join(lines)


def write(root: Path) -> None:
    """Resolve pyproject.toml again and keep the hand-kept [web] part as it is."""
    path = root / NAME
    old = path.read_text(encoding="utf-8") if path.exists() else "\n[web]\n"
    web = old[old.index("\n[web]\n") + 1 :]
    step("resolving pyproject.toml for all supported systems (needs `uv` on the path)")
    command = [
        "uv",
        "pip",
        "compile",
        "pyproject.toml",
        "--all-extras",
        "--universal",
        "--python-version",
        "3.11",
    ]
    try:
        done = subprocess.run(
            [*command, "--generate-hashes", "--no-header", "--no-annotate", "-q"],
            cwd=root,
            capture_output=True,
            text=True,
        )
    except FileNotFoundError:
        raise BuildError("`uv` was not found; install it (pip install uv) and run this again") from None
    if done.returncode != 0:
        raise BuildError(f"the pins do not resolve:\n{done.stderr.strip()}")
    lines = [
        "# Written by `build.py lock`; the [web] part at the end is kept by hand (see DEVELOPERS.md).",
        "",
    ]
    for entry in done.stdout.replace("\\\n", " ").splitlines():
        found = re.match(
            r"(?P<name>[\w.-]+)==(?P<version>\S+)\s*(?:;\s*(?P<marker>.*?))?\s+(?P<hashes>--hash.*)", entry
        )
        if not found or ("win32'" in (found["marker"] or "") and "==" in (found["marker"] or "")):
            continue
        lines += ["[[native]]", f'name = "{found["name"]}"', f'version = "{found["version"]}"']
        if found["marker"]:
            lines.append(f'marker = "{found["marker"]}"')
        lines.append("sha256 = [")
        lines += [f'    "{value}",' for value in sorted(re.findall(r"sha256:(\w+)", found["hashes"]))]
        lines += ["]", ""]
    path.write_text("\n".join(lines) + "\n" + web, encoding="utf-8")
    step(f"{NAME} written")
