"""Balance of twelve clubs as it is worked by hand, in inches and ounces: ``python tests/reference/derive/balance.py``.

Head at the club's length, shaft at the middle of its cut length (1 1/4 in of the club is head), grip 4 in from the butt,
fulcrum 14 in: swing weight in ounce inches; D0 is 213.5 and a point 1.75 (trade constants, from memory). A pound is 453.59 g
and holds 16 ounces. The lie that keeps the hands where they are is that of a right triangle of the reach below the hands,
3 in from the butt. Shares nothing with the engine.
"""

import csv
import json
import math
from pathlib import Path

OUNCE = 453.59237 / 16
CLUBS = {  # length [in], head, shaft and grip [g], lie [deg]: usual builds, common practice
    "driver": (45.5, 200, 60, 50, 58.5),
    "3-wood": (43, 210, 65, 50, 57.5),
    "5-wood": (42.5, 215, 65, 50, 58),
    "4-hybrid": (39.5, 238, 75, 50, 59.5),
    "4-iron": (38.5, 247, 120, 50, 60.25),
    "5-iron": (38, 254, 120, 50, 61),
    "6-iron": (37.5, 261, 120, 50, 61.5),
    "7-iron": (37, 268, 120, 50, 62.25),
    "8-iron": (36.5, 275, 120, 50, 62.75),
    "9-iron": (36, 282, 120, 50, 63.25),
    "pitching wedge": (35.5, 288, 120, 50, 63.75),
    "sand wedge": (35.25, 299, 125, 52, 64),
}
HAND = "worked by hand in inches and ounces (tests/reference/derive/balance.py); trade constants from memory"
SHAFT = (
    "common practice, no source: men's steel irons come to about D2, half a point is what a scale is read to"
)


def rows():
    number = 0

    def row(call, inputs, expected, tolerance, unit, standing, source):
        nonlocal number
        number += 1
        return [
            f"BALANCE-{number:02d}",
            "balance",
            call,
            json.dumps(inputs),
            expected,
            tolerance,
            unit,
            4,
            standing,
            source,
        ]

    for name, (length, head, shaft, grip, lie) in CLUBS.items():
        parts = {"length_in": length, "head_g": head, "shaft_g": shaft, "grip_g": grip}
        moment = sum(
            grams / OUNCE * (at - 14)
            for grams, at in ((head, length), (shaft, (length - 1.25) / 2), (grip, 4))
        )
        points = (moment - 213.5) / 1.75
        yield row(
            "adapters_workshop.points_of_parts",
            parts,
            round(points, 3),
            0.05,
            "points",
            "derived",
            f"{name}, {HAND}",
        )
        total = {"length_in": length, "head_g": head, "shaft_g": shaft, "grip_g": grip}
        yield row(
            "adapters_workshop.total_of_parts",
            total,
            head + shaft + grip,
            0.01,
            "g",
            "derived",
            f"{name}, sum of its parts",
        )
        per_point = 1.75 * OUNCE / (length - 14)
        yield row(
            "adapters_workshop.grams_a_point",
            {"length_in": length},
            round(per_point, 4),
            0.002,
            "g",
            "derived",
            f"{name}, {HAND}",
        )
        high = (length - 3) * math.sin(math.radians(lie))
        turned = math.degrees(math.asin(high / (length + 0.5 - 3))) - lie
        yield row(
            "adapters_workshop.lie_for_half_an_inch",
            {"length_in": length, "lie_deg": lie},
            round(turned, 4),
            0.002,
            "deg",
            "derived",
            f"{name}, right triangle below the hands, worked by hand",
        )
    seven = {"length_in": 37, "head_g": 268, "shaft_g": 120, "grip_g": 50}
    yield row("adapters_workshop.points_of_parts", seven, 2.0, 0.5, "points", "common practice", SHAFT)
    yield row(
        "engine.workshop.lie.LIE_PER_HALF_INCH_DEG",
        {},
        1.0,
        0.0,
        "deg",
        "common practice",
        "no source: a degree for half an inch",
    )


if __name__ == "__main__":
    with open(Path(__file__).parents[1] / "balance.csv", "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(
            ["id", "topic", "call", "inputs", "expected", "tolerance", "unit", "digits", "standing", "source"]
        )
        out.writerows(rows())
