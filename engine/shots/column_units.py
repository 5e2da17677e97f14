"""Units of the columns: stated in heading, units row or cell; else as chosen; else assumed and asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..statements import state
from .cells import METRE, UNITS, YARDS, Unit
from .columns import KIND
from .remarks import Question, Remarks
from .rows import Row

CARRY_PER_SPEED = {"ball_speed_mps": 2.7, "club_speed_mps": 3.8}  # [m per m/s], full shots; common practice
DEFAULT_UNIT = {"angle": UNITS["deg"], "spin": UNITS["rpm"]}


@dataclass(frozen=True, slots=True)
class Known:
    """A unit and how it is known, by a word of the statement "column"."""

    unit: Unit
    how: str = ""


@dataclass(slots=True)
class UnitChooser:
    """``length`` and ``speed`` are the reader's choice of units where a table does not say."""

    length: Unit | None
    speed: Unit | None
    report: Remarks

    def choose(self, fields: Mapping[str, tuple[int, Unit | None]], rows: list[Row]) -> dict[str, Known]:
        """The unit of each measured field."""
        known: dict[str, Known] = {}
        for name, (_, stated) in fields.items():
            if name == "club":
                continue
            found = stated or _in_cells(name, rows)
            if found:
                known[name] = Known(found, "stated")
            elif KIND[name] in DEFAULT_UNIT:
                known[name] = Known(DEFAULT_UNIT[KIND[name]])
        lengths = [
            known[name].unit for name in known if KIND[name] in ("length", "speed") and name != "grip_down_m"
        ]
        if "carry_m" in fields and "carry_m" not in known:
            known["carry_m"] = self.carry(lengths, asked=any("carry_m" in row.values for row in rows))
        if "side_m" in fields and "side_m" not in known:
            near = known.get("carry_m")
            known["side_m"] = Known(near.unit, "as_carry") if near else self.carry(lengths, asked=False)
        if "grip_down_m" in fields and "grip_down_m" not in known:
            yards = "carry_m" in known and known["carry_m"].unit == YARDS
            known["grip_down_m"] = Known(UNITS["in"] if yards else UNITS["cm"], "assumed")
            self.report.warnings.append(state("table.grip_unit", unit=known["grip_down_m"].unit.name))
        told = [row.values["carry_m"] for row in rows if "carry_m" in row.values]
        carries = [number.readings[0] * known["carry_m"].unit.size for number in told]
        for name, ratio in CARRY_PER_SPEED.items():
            if name in fields and name not in known:
                known[name] = self._speed(name, rows, carries, ratio, known)
        return known

    def carry(self, others: list[Unit], *, asked: bool = True) -> Known:
        """Unit of carries that nothing states: as chosen, else by the other columns, else yards."""
        if self.length:
            return Known(self.length, "chosen")
        taken = YARDS
        other = next((u for u in others if u.name in ("yd", "m", "mph", "km/h", "m/s")), None)
        if other:
            taken = YARDS if other.name in ("yd", "mph") else METRE
        if asked:
            said = state("ask.length_unit", unit=taken.name, beside=other.name if other else None)
            self.report.needs.append(Question("length_unit", said, taken.name, ("yd", "m")))
        return Known(taken, "assumed")

    def _speed(
        self, name: str, rows: list[Row], carries: list[float], ratio: float, known: Mapping[str, Known]
    ) -> Known:
        if self.speed:
            return Known(self.speed, "chosen")
        other = next((k.unit for k in known.values() if k.unit.kind == "speed"), None)
        if other:
            return Known(other, "as_other_speed")
        speeds = [row.values[name].readings[0] for row in rows if name in row.values]
        if not speeds:
            return Known(UNITS["mph"], "assumed")
        taken = likely_speed_unit(speeds, carries, ratio=ratio)
        said = state("ask.speed_unit", field=name, unit=taken.name)
        self.report.needs.append(Question("speed_unit", said, taken.name, ("mph", "km/h", "m/s")))
        return Known(taken, "assumed")


def likely_speed_unit(speeds: list[float], carries: list[float], *, ratio: float) -> Unit:
    """Unit of a speed by its size beside the carries [m]: full shots carry about ``ratio`` metres for each
    m/s.

    The candidates differ by a factor of 1.6 or more, which is more than the ratio does from club to club;
    without carries, by size alone.
    """
    middle = abs(sorted(speeds)[len(speeds) // 2])
    if not carries or not middle:
        return UNITS["mph"] if middle > 60 else UNITS["m/s"]
    wanted = abs(sorted(carries)[len(carries) // 2]) / ratio  # [m/s]

    def misfit(unit: Unit) -> float:
        speed = middle * unit.size
        return max(speed, 1e-9) / max(wanted, 1e-9) + max(wanted, 1e-9) / max(speed, 1e-9)

    return min((UNITS["mph"], UNITS["m/s"], UNITS["km/h"]), key=misfit)


def _in_cells(name: str, rows: list[Row]) -> Unit | None:
    for row in rows[:50]:
        number = row.values.get(name)
        if number and number.unit and number.unit.kind == KIND[name]:
            return number.unit
    return None
