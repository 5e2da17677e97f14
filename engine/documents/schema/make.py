"""Makes the schemas (JSON Schema 2020-12) from the field tables and from the types of the result."""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from ...fitting.fitting import Fitting
from ...fitting.sections import SECTIONS
from ...shots.summary import Summary
from ...statements import WHATS, Statement
from ...statements.kinds import KINDS
from ...statistics import Interval
from .. import fields, result
from ..case import FORMAT, VERSION

DIALECT = "https://json-schema.org/draft/2020-12/schema"

Schema = dict[str, Any]


def case_schema() -> Schema:
    """Schema of the case document. Keys it does not name are allowed, since they are kept on a round trip."""
    wants = _part(fields.WANTS) | {"type": ["object", "null"]}
    wants["properties"] |= {
        "air": _part(fields.CONDITIONS, null=True),
        "ball": _part(fields.BALL, null=True),
        "carries": _list(fields.WANTED_CARRY, "carries"),
        "built_to": _list(fields.WANTED_CARRY, "built_to"),
        "demand": _list(fields.FACED, "demand"),
    }
    layout = _part(fields.LAYOUT)
    layout["properties"]["clubs"] = _list(fields.LAYOUT_CLUB, "clubs")
    layout["properties"]["as_is"] = _list(fields.AS_IS, "as_is")
    job = _part(fields.JOB)
    job["properties"]["clubs"] = _list(fields.JOB_CLUB, "clubs")
    session = _part(fields.SESSION)
    session["properties"]["conditions"] = _part(fields.CONDITIONS, null=True)
    return {
        "$schema": DIALECT,
        "title": f"{FORMAT} version {VERSION}",
        "type": "object",
        "required": ["format", "version"],
        "properties": {
            "format": {"const": FORMAT},
            "version": {"type": "integer", "minimum": 1, "maximum": VERSION},
            "player": _part(fields.PLAYER, null=True),
            "swing": _part(fields.SWING, null=True),
            "bag": _list(fields.CLUB, "bag"),
            "shots": _list(fields.SHOT, "shots"),
            "conditions": _part(fields.CONDITIONS, null=True),
            "layouts": _list(layout, "layouts"),
            "wants": wants,
            "retest": _list(fields.SHOT, "retest"),
            "bench": _list(fields.MEASURED, "bench"),
            "swing_sizes": _list(fields.SWING_SIZE, "swing_sizes"),
            "sessions": _list(session, "sessions"),
            "jobs": _list(job, "jobs"),
            **{name: _rule(rule) for name, rule in fields.MARKS.items()},
        },
    }


def result_schema() -> Schema:
    """Schema of the whole result document."""
    parts = typing.get_type_hints(result.Result)
    properties = {"format": {"const": result.FORMAT}, "version": {"const": result.VERSION}}
    properties |= {name: of_type(kind) for name, kind in parts.items()}
    properties["layout_to_build"] = {"type": "string"}
    for name in SECTIONS:
        properties[name] = of_type(_returned(getattr(Fitting, name).func))
    return {
        "$schema": DIALECT,
        "title": f"{result.FORMAT} version {result.VERSION}",
        "type": "object",
        "required": list(properties),
        "properties": properties,
        "$defs": {"statement": statement_schema()},
    }


def statement_schema() -> Schema:
    """Schema of a statement; what each kind carries stands in `engine.statements.kinds`."""
    made = _of_fields(Statement)
    made["properties"]["kind"] = {"enum": sorted(KINDS)}
    made["properties"]["quantities"]["additionalProperties"]["properties"]["what"] = {"enum": list(WHATS)}
    return made


def of_type(kind: Any) -> Schema:
    """Schema of what `engine.statistics.plain` makes of a value of this type."""
    if kind is Interval or kind is Summary:
        names = ("mean", "lo90", "hi90") if kind is Interval else ("mean", "sd", "lo90", "hi90")
        return _object({name: {"type": ["number", "null"]} for name in names})
    if kind is Statement:
        return {"$ref": "#/$defs/statement"}
    if dataclasses.is_dataclass(kind):
        return _of_fields(kind)
    origin, arguments = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        return {"anyOf": [of_type(a) for a in arguments]}
    if origin is tuple and arguments[-1:] == (Ellipsis,):
        return {"type": "array", "items": of_type(arguments[0])}
    if origin is tuple:
        return {"type": "array", "prefixItems": [of_type(a) for a in arguments], "items": False}
    if origin in (dict, Mapping):
        return {"type": "object"} | (
            {} if arguments[1] is Any else {"additionalProperties": of_type(arguments[1])}
        )
    if origin is np.ndarray:
        return {"type": "array"}
    plain = {
        bool: "boolean",
        int: "integer",
        str: "string",
        type(None): "null",
    }
    if kind is float:
        return {"type": ["number", "null"]}  # what is not finite goes out as null
    if kind in plain:
        return {"type": plain[kind]}
    if kind is Any:
        return {}
    raise TypeError(f"no schema for {kind!r}")


def _of_fields(kind: Any) -> Schema:
    hints = typing.get_type_hints(kind)
    return _object({f.name: of_type(hints[f.name]) for f in dataclasses.fields(kind) if f.repr})


def _returned(make: Callable[..., Any]) -> Any:
    return typing.get_type_hints(make)["return"]


def _object(properties: Schema) -> Schema:
    return {
        "type": "object",
        "required": list(properties),
        "properties": properties,
        "additionalProperties": False,
    }


def _part(rules: dict[str, fields.Rule], *, null: bool = False) -> Schema:
    made: Schema = {
        "type": ["object", "null"] if null else "object",
        "properties": {name: _rule(rule) for name, rule in rules.items()},
    }
    required = [name for name, rule in rules.items() if rule.required]
    return made | ({"required": required} if required else {})


def _list(of: Any, name: str) -> Schema:
    items = of if "type" in of and "properties" in of else _part(of)
    return {"type": ["array", "null"], "items": items, "maxItems": fields.MOST[name]}


def _rule(rule: fields.Rule) -> Schema:
    null = [] if rule.required else ["null"]
    if isinstance(rule, fields.Number):
        return {"type": ["number", *null], "minimum": rule.low, "maximum": rule.high}
    if isinstance(rule, fields.OneOf):
        return {"enum": [*rule.options, *([] if rule.required else [None])]}
    if isinstance(rule, fields.SeveralOf):
        return {
            "type": ["array", *null],
            "items": {"enum": list(rule.options)},
            "maxItems": rule.most,
            "uniqueItems": True,
        }
    if isinstance(rule, fields.Ids):
        items: Schema = {"type": "string", "minLength": 1, "maxLength": 24}
        return {"type": ["array", *null], "items": items, "maxItems": rule.most, "uniqueItems": True}
    if isinstance(rule, fields.Tags):
        items = {"type": "string", "minLength": 1, "maxLength": rule.longest}
        return {"type": ["array", *null], "items": items, "maxItems": rule.most, "uniqueItems": True}
    if isinstance(rule, fields.Day):
        return {"type": ["string", *null], "pattern": f"^{fields.DAY}$"}
    if isinstance(rule, fields.Text):
        return {"type": ["string", *null], "minLength": rule.least, "maxLength": rule.most}
    return {"type": ["boolean", *null]}
