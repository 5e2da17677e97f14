"""Units of the columns: stated in heading, units row or cell; else as chosen; else assumed and asked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ..units import MPH
from .cells import METRE, UNITS, YARDS, Unit
from .columns import KIND, Used
from .remarks import Finding, Question, Remarks
from .rows import Row

CARRY_PER_SPEED = {"ball_speed_mps": 2.7, "club_speed_mps": 3.8}  # [m per m/s], full shots; common practice
DEFAULT_UNIT = {"angle": UNITS["deg"], "spin": UNITS["rpm"]}


@dataclass(frozen=True, slots=True)
class Known:
    """A unit and how it is known: "stated", "chosen", "assumed", or the field whose unit it shares."""

    unit: Unit
    how: str = ""


@dataclass(slots=True)
class UnitChooser:
    """``length`` and ``speed`` are the reader's answers where a text does not say; ``usual`` is the length unit
    that is likeliest before anything is known."""

    length: Unit | None
    speed: Unit | None
    report: Remarks
    usual: Unit = YARDS

    def choose(self, fields: Mapping[str, Used], rows: list[Row]) -> dict[str, Known]:
        """The unit of each measured field."""
        known: dict[str, Known] = {}
        measured = {name: used for name, used in fields.items() if name in KIND and name != "balls"}
        for name, used in measured.items():
            found = used.unit or _in_cells(name, rows)
            if found:
                known[name] = Known(found, "stated")
            elif KIND[name] in DEFAULT_UNIT:
                known[name] = Known(DEFAULT_UNIT[KIND[name]])
        others = [k.unit for name, k in known.items() if name != "grip_down_m"]
        if "carry_m" in fields and "carry_m" not in known:
            if "total_m" in known:
                known["carry_m"] = Known(known["total_m"].unit, "total_m")
            else:
                known["carry_m"] = self.carry(others, asked=any("carry_m" in row.values for row in rows))
        for name in ("total_m", "side_m", "carry_sd_m"):
            if name in fields and name not in known:
                near = known.get("carry_m") or known.get("total_m")
                known[name] = (
                    Known(near.unit, "carry_m") if near else self.carry(others, asked=name == "side_m")
                )
        if "grip_down_m" in fields and "grip_down_m" not in known:
            yards = "carry_m" in known and known["carry_m"].unit == YARDS
            known["grip_down_m"] = Known(UNITS["in"] if yards else UNITS["cm"], "assumed")
            self.report.findings.append(Finding("grip_unit_assumed", about=known["grip_down_m"].unit.name))
        told = [row.values["carry_m"] for row in rows if "carry_m" in row.values]
        carries = [number.readings[0] * known["carry_m"].unit.size for number in told]
        for name, ratio in CARRY_PER_SPEED.items():
            if name in fields and name not in known:
                known[name] = self._speed(name, rows, carries, ratio, known)
        return known

    def carry(self, others: Iterable[Unit], *, asked: bool = True) -> Known:
        """Unit of carries that nothing states: as chosen, else by the other columns, else the usual one."""
        if self.length:
            return Known(self.length, "chosen")
        taken, why = self.usual, ""
        other = next((u for u in others if u.name in ("yd", "m", "mph", "km/h", "m/s")), None)
        if other:
            taken, why = YARDS if other.name in ("yd", "mph") else METRE, other.name
        if asked:
            self.report.needs.append(Question("length_unit", taken.name, ("yd", "m"), why=why))
        return Known(taken, "assumed")

    def without(self, rows: list[Row]) -> list[Row]:
        """The rows whose carries have a known unit: where only some state one, the others are asked about and wait.

        A line waits whole, since a unit beside one of its numbers leaves open what the next one is in.
        """
        carries = [(row, row.values["carry_m"].unit) for row in rows if "carry_m" in row.values]
        open_ = dict.fromkeys((row.line, row.text) for row, unit in carries if unit is None)
        if self.length or not open_ or not any(unit for _, unit in carries):
            return rows
        for line, text in open_:
            self.report.leave(line, text, "unit_open")
        self.report.needs = [q for q in self.report.needs if q.key != "length_unit"]
        self.report.needs.append(Question("length_unit", "", ("yd", "m"), why="some"))
        return [row for row in rows if (row.line, row.text) not in open_]

    def _speed(
        self, name: str, rows: list[Row], carries: list[float], ratio: float, known: Mapping[str, Known]
    ) -> Known:
        if self.speed:
            return Known(self.speed, "chosen")
        other = next((n for n, k in known.items() if k.unit.kind == "speed"), None)
        if other:
            return Known(known[other].unit, other)
        speeds = [row.values[name].readings[0] for row in rows if name in row.values]
        if not speeds:
            return Known(UNITS["mph"], "assumed")
        taken = likely_speed_unit(speeds, carries, ratio=ratio)
        self.report.needs.append(Question("speed_unit", taken.name, ("mph", "km/h", "m/s"), about=name))
        return Known(taken, "assumed")


def likely_speed_unit(speeds: list[float], carries: list[float], *, ratio: float) -> Unit:
    """Unit of a speed by its size beside the carries [m]: full shots carry about ``ratio`` metres for each
    m/s.

    The candidates differ by a factor of 1.6 or more, which is more than the ratio does from club to club;
    without carries, by size alone.
    """
    middle = abs(sorted(speeds)[len(speeds) // 2])
    if not carries or not middle:
        most = 95.0 if ratio < 3 else 65.0  # [m/s], faster than anybody's ball or club; common practice
        return UNITS["m/s"] if middle <= 60 else UNITS["mph"] if middle * MPH < most else UNITS["km/h"]
    wanted = abs(sorted(carries)[len(carries) // 2]) / ratio  # [m/s]

    def misfit(unit: Unit) -> float:
        speed = middle * unit.size
        return max(speed, 1e-9) / max(wanted, 1e-9) + max(wanted, 1e-9) / max(speed, 1e-9)

    return min((UNITS["mph"], UNITS["m/s"], UNITS["km/h"]), key=misfit)


def _in_cells(name: str, rows: list[Row]) -> Unit | None:
    """The unit that the cells of a column state, if they all state one; a bare number among carries leaves it open."""
    if name == "carry_m" and any((n := row.values.get(name)) and n.unit is None for row in rows):
        return None
    stated = [n.unit for row in rows if (n := row.values.get(name)) and n.unit and n.unit.kind == KIND[name]]
    return stated[0] if stated and all(unit == stated[0] for unit in stated) else None
