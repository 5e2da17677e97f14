"""The bill of materials: every pinned piece from outside with version, licence and sha256, as CycloneDX 1.6 JSON.

``write`` makes a small environment of its own, filled from the ``[[sbom]]`` pins with every hash checked, and starts this
file in it; there cyclonedx-python-lib makes the document. Licences come from the packages' own metadata in .venv.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from importlib.metadata import Distribution, distributions
from pathlib import Path
from typing import Any

NAME = "sbom.cdx.json"
# Files of the browser's Python that are in no package: their licences as their projects state them.
CORE_LICENCES = {"python_stdlib.zip": "Python-2.0", "": "MPL-2.0"}
# Older metadata has words where an SPDX identifier is wanted.
CLASSIFIERS = {
    "BSD License": "BSD-3-Clause",
    "MIT License": "MIT",
    "Apache Software License": "Apache-2.0",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Python Software Foundation License": "PSF-2.0",
    "ISC License (ISCL)": "ISC",
}
WORDS = {
    "BSD": "BSD-3-Clause",
    "BSD License": "BSD-3-Clause",
    "3-Clause BSD License": "BSD-3-Clause",
    "BSD-3": "BSD-3-Clause",
    "MIT License": "MIT",
    "Apache 2.0": "Apache-2.0",
    "Apache License 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "Dual License": "Apache-2.0 OR BSD-3-Clause",
}


def write(root: Path) -> Path:
    """Write site/sbom.cdx.json; returns its path."""
    import env
    import lock
    from console import step

    home = root / ".cache" / "sbom"
    wanted = lock.requirements(lock.read(root)["sbom"])
    mark = home / "fettle.stamp"
    if not mark.exists() or mark.read_text(encoding="utf-8") != wanted:
        step("making the environment of the bill of materials, hashes checked")
        env.make_venv(home)
        (root / ".cache" / "sbom.txt").write_text(wanted, encoding="utf-8")
        wheels = root / ".cache" / "wheels"
        wheels.mkdir(exist_ok=True)
        pip = [str(env.python_in(home)), "-m", "pip", "--disable-pip-version-check", "-q"]
        hashed = ["--require-hashes", "--only-binary", ":all:", "-r", str(root / ".cache" / "sbom.txt")]
        # kept beside the other pinned files, so that a later run needs no network
        kept = ["install", "--no-index", "--find-links", str(wheels), *hashed]
        if subprocess.run([*pip, *kept], capture_output=True).returncode != 0:
            env.call(
                [*pip, "download", "--no-deps", "-d", str(wheels), *hashed], "a pin of [[sbom]] was not found"
            )
            env.call([*pip, *kept], "a pinned package of [[sbom]] could not be installed")
        mark.write_text(wanted, encoding="utf-8")
    pieces = root / ".cache" / "pieces.json"
    pieces.write_text(json.dumps(inventory(root)), encoding="utf-8")
    path = root / "site" / NAME
    env.call(
        [str(env.python_in(home)), __file__, str(pieces), str(path)], "the bill of materials was not made"
    )
    step(f"site/{NAME} written")
    return path


def inventory(root: Path) -> dict[str, Any]:
    """All pinned pieces as plain data: name, version, licence, hashes, how they come into the project."""
    import lock
    from site_packages import PURE

    pins = lock.read(root)
    known = {_plain(d.metadata["Name"]): d for d in distributions()}
    pieces: list[dict[str, Any]] = []
    for entry in pins["native"]:
        name = _plain(entry["name"])
        shipped = name in {_plain(p) for p in PURE}
        pieces.append(
            {
                "name": entry["name"],
                "version": entry["version"],
                "licence": licence(known.get(name)),
                "sha256": entry["sha256"],
                "purl": ["pypi", name, entry["version"]],
                "scope": "required" if shipped or name in ("numpy", "scipy") else "excluded",
            }
        )
    web = pins["web"]
    for name, digest in web["core"].items():
        if name != "version":
            pieces.append(
                {
                    "name": name,
                    "version": web["core"]["version"],
                    "licence": CORE_LICENCES.get(name, CORE_LICENCES[""]),
                    "sha256": [digest],
                    "purl": ["generic", f"pyodide/{name}", web["core"]["version"]],
                    "scope": "required",
                }
            )
    for name, digest in web["wheels"].items():
        package, version = name.split("-")[:2]
        pieces.append(
            {
                "name": name,
                "version": version,
                "licence": licence(known.get(_plain(package))),
                "sha256": [digest],
                "purl": ["generic", f"pyodide/{package}", version],
                "scope": "required",
            }
        )
    pieces += [
        {
            "name": entry["name"],
            "version": entry["version"],
            "licence": None,  # read where it is installed, by `_document`
            "sha256": entry["sha256"],
            "purl": ["pypi", _plain(entry["name"]), entry["version"]],
            "scope": "excluded",
        }
        for entry in pins["sbom"]
    ]
    source = web["source"]
    pieces.append(
        {
            "name": source["name"],
            "version": source["version"],
            "licence": "as stated in the package",
            "sha256": [source["sha256"]],
            "purl": ["pypi", source["name"], source["version"]],
            "scope": "excluded",
            "note": "Carries the browser's Python and its wheels unchanged; nothing else of it is used or shipped.",
        }
    )
    import engine

    return {"version": engine.__version__, "pieces": pieces}


def licence(found: Distribution | None) -> str | None:
    """The SPDX expression that a package's metadata states, or what its words and classifiers come to."""
    if found is None:
        return None
    stated = found.metadata.get("License-Expression")
    if stated:
        return str(stated)
    for line in found.metadata.get_all("Classifier") or ():
        if line.startswith("License ::") and line.split(" :: ")[-1] in CLASSIFIERS:
            return CLASSIFIERS[line.split(" :: ")[-1]]
    words = str(found.metadata.get("License") or "").strip()
    if not words:
        files = [f for f in found.files or () if re.search(r"dist-info/.*licen[cs]e", str(f), re.IGNORECASE)]
        words = next((f.read_text().strip().split("\n")[0].strip() for f in files), "")
    one = r"[A-Za-z0-9.+-]{2,30}"
    return WORDS.get(words, words if re.fullmatch(rf"{one}( (AND|OR) {one})*", words) else None)


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def _document(given: dict[str, Any]) -> str:
    """The CycloneDX document; runs in the environment of the pins."""
    from cyclonedx.contrib.license.factories import LicenseFactory
    from cyclonedx.model import HashAlgorithm, HashType
    from cyclonedx.model.bom import Bom
    from cyclonedx.model.component import Component, ComponentScope, ComponentType
    from cyclonedx.model.contact import OrganizationalEntity
    from cyclonedx.output.json import JsonV1Dot6
    from packageurl import PackageURL

    known = {_plain(d.metadata["Name"]): d for d in distributions()}
    make = LicenseFactory()
    bom = Bom()
    bom.metadata.component = project = Component(
        name="fettle",
        version=given["version"],
        type=ComponentType.APPLICATION,
        bom_ref="fettle",
        licenses=[make.make_from_string("MIT")],
        supplier=OrganizationalEntity(name="Fettle contributors"),
    )
    used = []
    for piece in given["pieces"]:
        kind, name, version = piece["purl"]
        stated = piece["licence"] or licence(known.get(_plain(piece["name"])))
        component = Component(
            name=piece["name"],
            version=piece["version"],
            type=ComponentType.FILE if kind == "generic" else ComponentType.LIBRARY,
            bom_ref=f"{kind}:{name}@{version}:{piece['sha256'][0][:12]}",
            scope=ComponentScope(piece["scope"]),
            licenses=[make.make_from_string(stated)] if stated else [],
            hashes=[HashType(alg=HashAlgorithm.SHA_256, content=value) for value in piece["sha256"]],
            purl=PackageURL(kind, None, name, version),
            description=piece.get("note"),
        )
        bom.components.add(component)
        if piece["scope"] == "required":
            used.append(component)
    bom.register_dependency(project, used)
    return str(JsonV1Dot6(bom).output_as_string(indent=1))


if __name__ == "__main__":
    Path(sys.argv[2]).write_text(
        _document(json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))), encoding="utf-8"
    )
