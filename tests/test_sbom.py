"""The bill of materials holds every pin, and is CycloneDX by the standard's own schema (ECMA-424, version 1.6)."""

import json
import sys
import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft7Validator
from referencing import Registry, Resource

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def document():
    sys.path.insert(0, str(ROOT / ".make"))
    import sbom

    return json.loads(sbom.write(ROOT).read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def pins():
    return tomllib.loads((ROOT / "fettle.lock").read_text(encoding="utf-8"))


def test_it_is_sound_by_the_published_schema(document):
    (schemas,) = (ROOT / ".cache" / "sbom").glob("lib/python3*/site-packages/cyclonedx/schema/_res")
    files = {p.name: json.loads(p.read_text(encoding="utf-8")) for p in schemas.glob("*.schema.json")}
    registry: Registry = Registry(retrieve=lambda uri: Resource.from_contents(files[uri.split("/")[-1]]))
    check = Draft7Validator(files["bom-1.6.SNAPSHOT.schema.json"], registry=registry)
    assert [e.message for e in check.iter_errors(document)] == []
    assert list(check.iter_errors(document | {"components": [{"name": 3}]}))


def test_every_pin_is_in_it_with_all_its_hashes(document, pins):
    listed = {
        (c["name"], c["version"], tuple(sorted(h["content"] for h in c["hashes"])))
        for c in document["components"]
    }
    wanted = [(e["name"], e["version"], e["sha256"]) for e in (*pins["native"], *pins["sbom"])]
    core = pins["web"]["core"]
    wanted += [(n, core["version"], [sha]) for n, sha in core.items() if n != "version"]
    wanted += [(n, n.split("-")[1], [sha]) for n, sha in pins["web"]["wheels"].items()]
    for name, version, hashes in wanted:
        assert (name, version, tuple(sorted(hashes))) in listed, name
    assert len(document["components"]) == len(wanted) + 1  # and the package that carries the browser's Python


def test_every_piece_names_its_licence(document):
    assert [c["name"] for c in document["components"] if not c.get("licenses")] == []


def test_what_reaches_people_is_under_known_licences(document):
    """All but these would want a look before they are shipped."""
    fine = {
        "MIT",
        "BSD-3-Clause",
        "BSD-2-Clause",
        "Apache-2.0",
        "PSF-2.0",
        "Python-2.0",
        "MPL-2.0",
        "0BSD",
        "Zlib",
        "CC0-1.0",
    }
    for component in document["components"]:
        if component["scope"] == "required":
            for entry in component["licenses"]:
                words = entry.get("expression") or entry["license"].get("id", "?")
                assert set(words.replace("(", " ").replace(")", " ").split()) - {"AND", "OR"} <= fine, (
                    component["name"]
                )
