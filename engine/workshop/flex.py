"""Shaft flex by club speed, as a band and not a prescription.

There is no standard of flex: one maker's R is another's S. The speed bands are common practice, no source. Studies
found no meaningful effect of stiffness on the mean club speed, and that players differ in how it turns the face
(MacKenzie and Sprigings 2009; MacKenzie and Boucher 2016, abstracts), so the band only says where to begin trying.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..statements import Statement, state
from ..units import GRAM, MPH

DRIVER_BANDS_MPH = (
    ("L", 0.0, 65.0),
    ("A", 65.0, 78.0),
    ("R", 78.0, 93.0),
    ("S", 93.0, 105.0),
    ("X", 105.0, 999.0),
)
IRON_SHARE = 0.80
"""Speed of a 6-iron over that of the driver, by which the driver's bands are read for irons."""

SHAFT_G = (
    (0.0, 75.0, 45.0, 55.0),
    (75.0, 90.0, 50.0, 60.0),
    (90.0, 105.0, 55.0, 65.0),
    (105.0, 999.0, 60.0, 75.0),
)
"""Driver speed from and to [mph], driver shaft from and to [g]; common practice, no source."""
HEAVIER_G = {"driver": 0.0, "fairway": 7.5, "hybrid": 20.0}
IRON_SHAFT_G = ((0.0, 75.0, 50.0, 80.0), (75.0, 90.0, 65.0, 105.0), (90.0, 999.0, 95.0, 130.0))
"""The same for iron shafts; about 90 g is where steel begins."""

NEAR_MPH = 3.0
FLEX_NOTE = state("note.flex")


@dataclass(frozen=True, slots=True)
class Flex:
    """Flexes to begin with: the one of the speed, and its neighbour where the speed is near a border."""

    likely: str
    also: str | None
    note: Statement = FLEX_NOTE


def flex_for(speed_mps: float, *, club: str = "driver") -> Flex:
    """Flex band for a club speed [m/s] of the driver, or of a 5- or 6-iron (``club="iron"``).

    Raises
    ------
    ValueError
        If the speed is not above 0 or the club neither ``driver`` nor ``iron``.
    """
    if club not in ("driver", "iron"):
        raise ValueError("`club` must be driver or iron")
    if not speed_mps > 0:
        raise ValueError("`speed_mps` must be above 0")
    speed = speed_mps / MPH / (IRON_SHARE if club == "iron" else 1.0)
    at = next(i for i, (_, low, high) in enumerate(DRIVER_BANDS_MPH) if low <= speed < high or high == 999.0)
    label, low, high = DRIVER_BANDS_MPH[at]
    also = None
    if at > 0 and speed - low < NEAR_MPH:
        also = DRIVER_BANDS_MPH[at - 1][0]
    elif at + 1 < len(DRIVER_BANDS_MPH) and high - speed < NEAR_MPH:
        also = DRIVER_BANDS_MPH[at + 1][0]
    return Flex(label, also)


def shaft_mass_for(driver_speed_mps: float, *, family: str) -> tuple[float, float]:
    """Usual mass of a shaft from and to [kg] for a driver speed [m/s]: a band to begin trying in, common practice.

    Fairway woods take 5 to 10 g more than the driver, hybrids about 20 g more; irons and wedges have bands of their own.

    Raises
    ------
    ValueError
        If the speed is not above 0 or the family has no such band (putters).
    """
    if not driver_speed_mps > 0:
        raise ValueError("`driver_speed_mps` must be above 0")
    iron = family in ("iron", "wedge")
    if not iron and family not in HEAVIER_G:
        raise ValueError("`family` must be driver, fairway, hybrid, iron or wedge")
    speed = driver_speed_mps / MPH
    more = 0.0 if iron else HEAVIER_G[family]
    band = next(b for b in (IRON_SHAFT_G if iron else SHAFT_G) if speed < b[1] or b[1] == 999.0)
    return (band[2] + more) * GRAM, (band[3] + more) * GRAM
