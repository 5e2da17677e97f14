"""The shot at hand: what was entered under Play of the target, the wind and the green.

It is kept on the device, for whoever is open, and is no part of a player: links, files and the card know nothing of it.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

from engine.course.green import LURKS, SIDES, Green
from engine.documents.case import Case, Conditions
from engine.documents.fields import Flag, Number, OneOf, Rule
from engine.physics.ground import GREENS

DEEP_M = 12.0  # flag to the front and to the back of a green, and to its sides, until somebody says; about the usual size
DISTANCES = Number(1, 400)
HEIGHTS = Number(-100, 100)
EDGES = Number(1, 40, DEEP_M)
RULES: dict[str, Rule] = {
    "distance_m": DISTANCES,
    "height_m": HEIGHTS,
    "wind_mps": Number(0, 30),
    "wind_from_deg": Number(-360, 360),
    "at_green": Flag(False),
    "front_m": EDGES,
    "back_m": EDGES,
    "half_width_m": Number(3, 40, DEEP_M),
    "turf": OneOf(tuple(GREENS), "usual"),
    **{side: OneOf(LURKS, "rough") for side in SIDES},
}


@dataclass(frozen=True, slots=True)
class AtHand:
    """A target and its wind; ``None`` where nothing was entered. Lengths in [m], edges of the green from the flag."""

    distance_m: float | None = None
    height_m: float | None = None
    wind_mps: float | None = None
    wind_from_deg: float | None = None
    at_green: bool = False
    front_m: float = DEEP_M
    back_m: float = DEEP_M
    half_width_m: float = DEEP_M
    turf: str = "usual"
    short: str = "rough"
    long: str = "rough"
    left: str = "rough"
    right: str = "rough"

    @property
    def green(self) -> Green:
        lurks = {side: getattr(self, side) for side in SIDES}
        return Green(self.front_m, self.back_m, self.half_width_m, **lurks)

    def air(self, case: Case) -> Conditions:
        """The air of the day with the wind of this shot; a case of old may hold a wind itself."""
        wind = {n: v for n in ("wind_mps", "wind_from_deg") if (v := getattr(self, n)) is not None}
        return replace(case.wants.air or Conditions(), **wind)

    def having(self, **values: Any) -> AtHand:
        """The same with some values changed."""
        return replace(self, **values)

    def to_doc(self) -> dict[str, Any]:
        """What differs from nothing entered."""
        plain = AtHand()
        return {f.name: v for f in fields(self) if (v := getattr(self, f.name)) != getattr(plain, f.name)}

    @classmethod
    def from_doc(cls, doc: object) -> AtHand:
        """As it was kept; what is not sound is mended or taken as not entered."""
        known = doc if isinstance(doc, dict) else {}
        found: dict[str, Any] = {}
        for name, rule in RULES.items():
            if name in known:
                try:
                    found[name] = rule.check(known[name])
                except ValueError:
                    found[name] = rule.mend(known[name])
        return cls(**found)
