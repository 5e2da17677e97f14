"""Display units: one switch for all, SI inside; reading what people type and saying what is wrong with it."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from engine.units import FOOT, INCH, KMH, MPH, YARD

SYSTEMS = ("metric", "imperial")


@dataclass(frozen=True, slots=True)
class ShownUnit:
    """``shown = (SI - zero) / size``."""

    name: str
    size: float
    decimals: int
    step: float
    zero: float = 0.0
    trim: bool = False  # no zeros at the end of a fraction

    def shown(self, value: float) -> float:
        return (value - self.zero) / self.size

    def near(self, value: float) -> float:
        """The shown value without the noise far behind the point, which would decide how a half is rounded."""
        return round(self.shown(value), 9)

    def read(self, value: float) -> float:
        """The number that is read where a value is shown."""
        near = self.near(value)
        return round(near, self.places(near))

    def si(self, shown: float) -> float:
        return shown * self.size + self.zero

    def text(self, value: float | None, *, unit: bool = False, sign: bool = False) -> str:
        """The value in this unit, or a dash; a true minus sign, no trailing digits beyond the unit's."""
        if value is None or not math.isfinite(value):
            return "\u2013"
        near = self.near(value)
        number = f"{near:{'+' if sign else ''}.{self.places(near)}f}"
        if self.trim and "." in number:
            number = number.rstrip("0").rstrip(".")
        if float(number) == 0:
            number = number.lstrip("+-")
        number = number.replace("-", "\u2212")
        if not unit:
            return number
        return f"{number}{self.name}" if self.name == "\u00b0" else f"{number}\u00a0{self.name}"

    def places(self, shown: float) -> int:
        return self.decimals

    def brief(self, value: float) -> str:
        """The value with its unit, without zeros at its end: for titles and labels."""
        near = self.near(value)
        number = f"{round(near, self.places(near)):g}".replace("-", "\u2212")
        return f"{number}\u00a0{self.name}"


class Inches(ShownUnit):
    """Lengths of clubs in decimals, an eighth in full: ``38 in``, ``36.5 in``, ``37.125 in``, ``37.01 in``. One kept to a
    tenth of a millimetre is shown as the eighth it was.
    """

    __slots__ = ()

    def near(self, value: float) -> float:
        inches = ShownUnit.near(self, value)
        eighth = round(8 * inches) / 8
        return eighth if abs(inches - eighth) < 0.0025 else inches

    def places(self, shown: float) -> int:
        return 3 if (8 * shown).is_integer() else self.decimals


class Eighths(Inches):
    """Changes as a rule at the bench has them: to the eighth of an inch, ``0.5 in``, ``1.375 in``."""

    __slots__ = ()

    def text(self, value: float | None, *, unit: bool = False, sign: bool = False) -> str:
        eighth = self.size / 8
        if value is not None and math.isfinite(value):
            value = round(value / eighth) * eighth
        return ShownUnit.text(self, value, unit=unit, sign=sign)


class Hours(ShownUnit):
    """Time at the bench: whole hours, and what is less than one in minutes by fives."""

    __slots__ = ()

    def text(self, value: float | None, *, unit: bool = False, sign: bool = False) -> str:
        if value is None or not 0 < value < 57.5 * 60:
            return ShownUnit.text(self, value, unit=unit, sign=sign)
        return f"{max(5 * round(value / 300), 5)}\u00a0min" if unit else str(max(5 * round(value / 300), 5))


_M = ShownUnit("m", 1.0, 0, 1.0)
_MM = ShownUnit("mm", 0.001, 0, 1.0)
UNITS: dict[str, tuple[ShownUnit, ShownUnit]] = {
    "carry": (_M, ShownUnit("yd", YARD, 0, 1.0)),
    "carry_fine": (ShownUnit("m", 1.0, 1, 1.0), ShownUnit("yd", YARD, 1, 1.0)),
    "gap": (ShownUnit("m", 1.0, 1, 0.5), ShownUnit("yd", YARD, 1, 0.5)),
    "body": (ShownUnit("cm", 0.01, 1, 1.0), ShownUnit("in", INCH, 1, 0.5)),
    "club": (ShownUnit("cm", 0.01, 1, 0.5), Inches("in", INCH, 2, 0.25, trim=True)),
    "grip": (ShownUnit("cm", 0.01, 1, 0.5), Inches("in", INCH, 2, 0.25, trim=True)),
    "speed": (ShownUnit("km/h", KMH, 0, 1.0), ShownUnit("mph", MPH, 0, 1.0)),
    "wind": (ShownUnit("m/s", 1.0, 1, 1.0), ShownUnit("mph", MPH, 0, 1.0)),
    "height": (ShownUnit("m", 1.0, 0, 10.0), ShownUnit("ft", FOOT, 0, 50.0)),
    "temperature": (ShownUnit("\u00b0C", 1.0, 0, 1.0), ShownUnit("\u00b0F", 5 / 9, 0, 1.0, -160 / 9)),
    "angle": (ShownUnit("\u00b0", 1.0, 1, 0.5),) * 2,
    "set_angle": (ShownUnit("\u00b0", 1.0, 2, 0.5, trim=True),) * 2,  # of a head: set and marked in quarters
    "mass": (ShownUnit("g", 0.001, 0, 1.0),) * 2,
    "percent": (ShownUnit("%", 0.01, 0, 1.0),) * 2,
    "spin": (ShownUnit("rpm", 1.0, 0, 10.0),) * 2,
    "count": (ShownUnit("", 1.0, 0, 1.0),) * 2,
}

# quantities that only statements speak of, and those above by the names that statements have for them: never typed
SAID: dict[str, tuple[ShownUnit, ShownUnit]] = {
    "club_length": (
        ShownUnit("cm", 0.01, 1, 0.5, trim=True),
        Inches("in", INCH, 2, 0.25, trim=True),
    ),
    "length_change": (_MM, Eighths("in", INCH, 3, 0.125, trim=True)),
    "grip_down": (ShownUnit("cm", 0.01, 1, 0.5, trim=True), ShownUnit("in", INCH, 1, 0.5, trim=True)),
    "body_length": UNITS["body"],
    "club_speed": UNITS["speed"],
    "speed_change": (ShownUnit("km/h", KMH, 1, 1.0), ShownUnit("mph", MPH, 1, 1.0)),
    "ball_roll": (ShownUnit("m/s", 1.0, 1, 0.1), ShownUnit("ft/s", FOOT, 1, 0.1)),
    "putt": (ShownUnit("m", 1.0, 1, 0.5, trim=True), ShownUnit("ft", FOOT, 0, 1.0)),
    "skid": (ShownUnit("m", 1.0, 1, 0.1), ShownUnit("ft", FOOT, 0, 1.0)),
    "hole": (ShownUnit("cm", 0.01, 1, 0.1), ShownUnit("in", INCH, 1, 0.1)),
    "green_speed": (ShownUnit("ft", 1.0, 1, 0.5, trim=True),) * 2,
    "head_angle": UNITS["set_angle"],
    "whole_angle": (ShownUnit("\u00b0", 1.0, 0, 1.0),) * 2,
    "share": UNITS["percent"],
    "strokes": (ShownUnit("", 1.0, 2, 0.01),) * 2,
    "mean_count": (ShownUnit("", 1.0, 1, 1.0),) * 2,
    "deviations": (ShownUnit("", 1.0, 1, 0.1),) * 2,
    "minutes": (ShownUnit("min", 60.0, 0, 5.0),) * 2,
    "hours": (Hours("h", 3600.0, 0, 1.0),) * 2,
}


def unit(quantity: str, system: str) -> ShownUnit:
    """The unit in which ``quantity`` is shown under ``system`` (``metric`` or ``imperial``)."""
    return (UNITS.get(quantity) or SAID[quantity])[SYSTEMS.index(system)]


def amount(value: float | None, quantity: str, system: str, *, bare: bool = False) -> str:
    """A value with its unit, or a dash."""
    return unit(quantity, system).text(value, unit=not bare)


def bench_length(metres: float, system: str) -> str:
    """A small length as the bench reads it: ``3.2 mm``, ``1/8 in``."""
    eighth = system == "imperial" and abs(metres / INCH - 0.125) < 1e-6
    return "1/8\u00a0in" if eighth else f"{round(1000 * metres, 1):g}\u00a0mm"


def as_typed(value: float | None, quantity: str, system: str, *, exact: bool = False) -> str:
    """A value as it stands in its field: the bare number, or nothing. ``exact``: with up to three decimals where it was
    typed with them in this unit, else with those of the unit.
    """
    if value is None:
        return ""
    shown = unit(quantity, system)
    number = shown.near(value)
    places = shown.places(number)
    if exact:
        places = next((n for n in range(places, 4) if abs(round(number, n) - number) < 2e-6), places)
    text = f"{number:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def carry_as_typed(value: float, system: str) -> str:
    """A carry with its unit and with the decimals that it was typed with."""
    shown = unit("carry", system)
    number = shown.shown(value)
    places = next((n for n in (0, 1) if abs(round(number, n) - number) < 0.006), 2)
    return f"{number:.{places}f}\u00a0{shown.name}".replace("-", "\u2212")


def between(low: float, high: float, quantity: str, system: str) -> str:
    """``133 to 145 m``."""
    shown = unit(quantity, system)
    return f"{shown.text(low)} to {shown.text(high, unit=True)}"


class Unreadable(ValueError):
    """Typed text that is not a usable number; ``str(error)`` is for the field's label."""


_FEET = re.compile(
    r"""^\s*(\d)\s*(?:'|ft|feet|\u2019|\u2032)\s*(\d{1,2}(?:[.,]\d+)?)?\s*(?:"|''|in|inch(?:es)?|\u201d|\u2033)?\s*$"""
)
_NUMBER = re.compile(r"^[+\-\u2212]?(\d+([.,]\d*)?|[.,]\d+)$")
_SIGNS = dict(zip("½¼¾⅛⅜⅝⅞", ("1/2", "1/4", "3/4", "1/8", "3/8", "5/8", "7/8"), strict=True))
_FRACTION = re.compile(r"(?<![\d/.,])(?:(\d+)(?: +|[-\u2013]))?(\d{1,2})/(2|4|8|16|32)(?![\d/.,])")


def decimals(text: str) -> str:
    """Text about lengths in inches with its fractions as decimals: ``31 1/2``, ``31-1/2`` and ``31½`` are ``31.5``."""
    text = re.sub(rf"(?<=\d)(?=[{''.join(_SIGNS)}])", " ", text)
    for sign, fraction in _SIGNS.items():
        text = text.replace(sign, fraction)
    return _FRACTION.sub(_decimal, text)


def _decimal(found: re.Match[str]) -> str:
    part = int(found[2]) / int(found[3])
    return str(int(found[1] or 0) + part) if part < 1 else found[0]


_THOUSANDS = re.compile(r"([1-9]\d{0,2})[.,](\d{3})")


def parse(text: str, quantity: str, system: str, *, low: float, high: float) -> float | None:
    """The SI value of typed text, ``None`` for empty text.

    Raises
    ------
    Unreadable
        For words, for zero or less where that makes no sense, outside ``low`` to ``high`` [SI], and for three digits
        after a comma or point where only whole numbers are shown; a spin of 2.700 is 2700 rpm.
    """
    shown_in = unit(quantity, system)
    text = str(text or "").strip()
    if not text:
        return None
    if shown_in.name == "in":
        text = decimals(text)
    feet = _FEET.match(decimals(text)) if quantity == "body" else None
    if feet:
        value = int(feet[1]) * FOOT + float((feet[2] or "0").replace(",", ".")) * INCH
    else:
        other = _other_unit(text, quantity, system)
        if other is not None:
            return parse(other, quantity, system, low=low, high=high)
        bare = text
        for name in {shown_in.name, "m", "yd", "cm", "in", "mph", "km/h", "%"}:
            if name and bare.lower().endswith(name) and name == shown_in.name:
                bare = bare[: -len(name)].strip()
        if not _NUMBER.match(bare) or len(bare) > 40:
            raise Unreadable(f"must be a number {span(quantity, system, low, high)}")
        if thousands := _THOUSANDS.fullmatch(bare) if shown_in.decimals == 0 else None:
            if quantity != "spin":
                raise Unreadable(
                    f"has three digits after a comma or point, which may be two numbers or one: "
                    f"write one number {span(quantity, system, low, high)}, with one decimal at most"
                )
            bare = thousands[1] + thousands[2]
        elif quantity == "spin" and re.fullmatch(r"\d{1,2}[.,]\d*[1-9]\d*", bare):
            raise Unreadable(f"must be in {shown_in.name}, as 2700")  # 2.7 is meant in thousands
        value = shown_in.si(float(bare.replace(",", ".").replace("\u2212", "-")))
    slack = 0.51 * shown_in.size * 10.0**-shown_in.decimals  # the ends of the range, as shown, are allowed
    if not low - slack <= value <= high + slack:
        raise Unreadable(f"must be {span(quantity, system, low, high)}")
    return round(min(max(value, low), high), 6)


def _other_unit(text: str, quantity: str, system: str) -> str | None:
    """A wind typed with a unit other than the one shown, as a number in that; ``None`` for anything else."""
    found = _WIND.fullmatch(text) if quantity == "wind" else None
    if not found or found[2].lower() == unit(quantity, system).name:
        return None
    shown_in = unit(quantity, system)
    speed = float(found[1].replace(",", ".")) * _WINDS[found[2].lower()]
    return f"{shown_in.shown(speed):.2f}"


_WINDS = {"m/s": 1.0, "mph": MPH, "km/h": KMH, "kn": 1852 / 3600}
_WIND = re.compile(r"(\d+(?:[.,]\d*)?)\s*(m/s|mph|km/h|kn)", re.IGNORECASE)


def span(quantity: str, system: str, low: float, high: float) -> str:
    """``from 100 to 240 cm``."""
    shown_in = unit(quantity, system)
    ends = [
        f"{round(shown_in.shown(end), shown_in.decimals):g}".replace("-", "\u2212") for end in (low, high)
    ]
    return f"from {ends[0]} to {ends[1]} {shown_in.name}".rstrip()
