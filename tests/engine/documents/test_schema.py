"""The JSON Schemas say what the program does: the files are fresh, good documents fit them, broken ones do not."""

import json
from pathlib import Path

import jsonschema
import pytest
from test_case_fuzz import broken, valid

import engine.documents.schema
from app.demo import demo_case
from engine.documents.case import Case, CaseError
from engine.documents.reading import read_case
from engine.documents.schema.make import case_schema, result_schema
from engine.fitting.sections import document

CASE = jsonschema.Draft202012Validator(case_schema())
RESULT = jsonschema.Draft202012Validator(result_schema())


@pytest.mark.parametrize(("name", "schema"), [("case", case_schema()), ("result", result_schema())])
def test_the_schema_in_the_project_is_fresh(name, schema):
    jsonschema.Draft202012Validator.check_schema(schema)
    kept = Path(engine.documents.schema.__file__).with_name(f"{name}.schema.json")
    assert json.loads(kept.read_text(encoding="utf-8")) == schema, "run python -m engine.documents.schema"


def test_a_sound_case_fits():
    CASE.validate(valid())
    CASE.validate(demo_case().to_doc())
    CASE.validate(Case().to_doc())


def test_what_the_schema_refuses_the_reader_refuses():
    """The other way round does not hold: twins and clubs that are not in the bag are beyond a schema."""
    refused = 0
    for number in range(300):
        try:
            doc = json.loads(broken(number), parse_constant=lambda name: None)
        except (ValueError, RecursionError):
            continue
        if not isinstance(doc, dict) or CASE.is_valid(doc):
            continue
        refused += 1
        with pytest.raises(CaseError):
            read_case(doc)
    assert refused > 100


@pytest.mark.parametrize(
    "case", [demo_case(), Case(), read_case(valid())], ids=["demo", "empty", "all parts"]
)
def test_results_fit(case):
    doc = json.loads(json.dumps(document(case, draws=64), allow_nan=False))
    RESULT.validate(doc)
    del doc["layouts"][0]["clubs"][0]["carry_m"]["lo90"]
    assert not RESULT.is_valid(doc)
