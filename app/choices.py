"""What a reader has said about a pasted text or a file; what of it holds for the next file of the same columns."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from engine.shots.dates import ORDERS

KNOWN = {"length_unit": ("m", "yd"), "speed_unit": ("m/s", "km/h", "mph"), "dates": ORDERS}


@dataclass(frozen=True, slots=True)
class Choices:
    """What a reader has said about a text; most fields are those of `engine.shots.table.read_table`.

    clubs : ids of the bag for names in the text, or for clubs that are not in the bag; "" leaves their lines out
    hit_on : the session of balls without a day, see `app.sessions.add`; before : those of which it is not known were hit
    before the clubs were built
    """

    columns: Mapping[int, str] = field(default_factory=dict)
    numbers: Mapping[int, str] = field(default_factory=dict)
    clubs: Mapping[str, str] = field(default_factory=dict)
    club: str | None = None
    length_unit: str | None = None
    speed_unit: str | None = None
    player: str | None = None
    day: str | None = None
    dates: str | None = None
    hit_on: str | None = None
    before: bool = False
    balls: float | None = None
    swings: str | None = None

    def to_doc(self) -> dict[str, Any]:
        """What holds for every file of the same columns: what they are, and their units, numbers and dates."""
        doc: dict[str, Any] = {"columns": {str(n): role for n, role in self.columns.items()}}
        if self.numbers:
            doc["numbers"] = {str(n): mark for n, mark in self.numbers.items()}
        for name in KNOWN:
            if getattr(self, name):
                doc[name] = getattr(self, name)
        return doc

    @staticmethod
    def from_doc(doc: object) -> Choices:
        """The choices of a stored document; what is not sound is left out."""
        if not isinstance(doc, dict):
            return Choices()
        known: dict[str, Any] = {name: doc[name] for name, all_ in KNOWN.items() if doc.get(name) in all_}
        return Choices(
            columns=_by_number(doc.get("columns"), None),
            numbers=_by_number(doc.get("numbers"), (".", ",")),
            **known,
        )


def _by_number(doc: object, known: tuple[str, ...] | None) -> dict[int, str]:
    items = doc.items() if isinstance(doc, dict) else ()
    return {
        int(n): v
        for n, v in items
        if re.fullmatch(r"\d{1,3}", n, re.ASCII)
        and isinstance(v, str)
        and (v in known if known else re.fullmatch(r"[a-z_]{0,20}", v))
    }
