"""Shaft flex by club speed, as a band and not a prescription.

There is no standard of flex: one maker's R is another's S. The speed bands are common practice, no source. Studies
found no meaningful effect of stiffness on the mean club speed, and that players differ in how it turns the face
(MacKenzie and Sprigings 2009; MacKenzie and Boucher 2016, abstracts), so the band only says where to begin trying.
"""

from __future__ import annotations

from dataclasses import dataclass

from engine.units import MPH

DRIVER_BANDS_MPH = (
    ("L", 0.0, 65.0),
    ("A", 65.0, 78.0),
    ("R", 78.0, 93.0),
    ("S", 93.0, 105.0),
    ("X", 105.0, 999.0),
)
IRON_SHARE = 0.80
"""Speed of a 6-iron over that of the driver, by which the driver's bands are read for irons."""

NEAR_MPH = 3.0
NOTE = "Flex has no standard and does little to the mean speed; try both sides of a border and let the flight decide."


@dataclass(frozen=True, slots=True)
class Flex:
    """Flexes to begin with: the one of the speed, and its neighbour where the speed is near a border."""

    likely: str
    also: str | None
    note: str = NOTE


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
