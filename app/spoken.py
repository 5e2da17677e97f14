"""The engine's plain sentences in the units shown: it speaks of metres, degrees, mph, and at the bench of inches."""

from __future__ import annotations

import re

from app.units import unit
from engine.units import INCH, KMH, MPH

_NUMBER = r"[+\-\u2212]?(?:\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?)"
_UNIT = r"in|mph|mm|cm|m"
# a number or a range with its unit, and a range in brackets soon after it that has none: "3.7 m of carry (2.4 to 4.9)"
_QUANTITY = re.compile(
    rf"(?<![\w./])(?P<first>{_NUMBER})(?: to (?P<last>{_NUMBER}))? (?P<unit>{_UNIT})\b(?!/| the\b| an?\b)"
    rf"(?:(?P<between>[^()\d]{{0,40}})\((?P<low>{_NUMBER}) to (?P<high>{_NUMBER})(?! (?:{_UNIT}|deg|g|%))(?=[);, ]))?"
)
_IN_WORDS = {
    "an inch and a half": "4 cm",  # as the choice of grips says it
    "half an inch": "1/2 in",
    "two inches": "2 in",
    "an inch": "1 in",
}
_SIZE = {"in": INCH, "mph": MPH, "mm": 0.001, "cm": 0.01, "m": 1.0}
_SHOWN = {"metric": ("mm", "cm", "m"), "imperial": ("in", "mph")}


def spoken(text: str, system: str) -> str:
    """A sentence of the engine as the screen says it, a true minus and no broken ``10 %`` in it."""
    if system == "metric":
        for words, figure in _IN_WORDS.items():
            text = re.sub(rf"\b{words}\b", figure, text, flags=re.IGNORECASE)
    text = _QUANTITY.sub(lambda found: _quantity(found, system), text)
    text = re.sub(r"(\d) deg\b", "\\1\u00b0", text)
    text = re.sub(r"(?<![\w.])[+-](0(?:\.0+)?)(?![\d.])", r"\1", text)
    text = re.sub(r"(?<![\w.])-(?=\d)", "\u2212", text)
    return re.sub(rf"(\d) (%|{_UNIT}|g|km/h|m/s|yd)(?![\w/])(?! the\b)", "\\1\u00a0\\2", text)


def _quantity(found: re.Match[str], system: str) -> str:
    name = found["unit"]
    numbers = {key: found[key] for key in ("first", "last", "low", "high") if found[key]}
    if name in _SHOWN[system] or (name == "in" and _value(found["first"]) > 100):  # "in 2026 in texts of"
        return found[0]
    to, size, decimals = _target(name, max(abs(_value(x)) for x in numbers.values()) * _SIZE[name], system)
    if name in ("m", "mph"):  # as fine as it was said
        decimals = len(found["first"].partition(".")[2])
    scale = _SIZE[name] / size
    said = {
        key: f"{_value(x) * scale:{'+' if x[0] == '+' else ''}.{decimals}f}" for key, x in numbers.items()
    }
    out = said["first"] + (f" to {said['last']}" if "last" in said else "") + f" {to}"
    return out + (f"{found['between']}({said['low']} to {said['high']}" if "low" in said else "")


def _target(name: str, size: float, system: str) -> tuple[str, float, int]:
    """Unit to show, its size [SI] and decimals, for a quantity of up to ``size`` [SI]."""
    if name == "mph":
        return "km/h", KMH, 0
    if system == "metric":
        return ("cm", 0.01, 1) if size > 0.3 else ("mm", 0.001, 0)
    if name == "m":
        shown = unit("gap", system)
        return shown.name, shown.size, shown.decimals
    return "in", INCH, 1


def _value(number: str) -> float:
    text = number.replace("\u2212", "-")
    whole, _, part = text.rpartition(" ")
    if "/" not in part:
        return float(text)
    over, under = part.split("/")
    return (float(whole) if whole else 0.0) + float(over) / float(under)
