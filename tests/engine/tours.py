"""Groups of the circulated tour averages (`tests/reference/data/launch_typical.csv`), and the clubs such players carry."""

MEN, WOMEN, NEWER = "tour male (older 2010s set)", "tour female", "tour male (newer 2020s set)"

# Lengths [in], lofts [deg] and head masses [g] of such players' clubs: common practice, no source.
CLUBS = {
    "driver": ("driver", 45.5, 10, 200),
    "3-wood": ("fairway", 43, 15, 210),
    "5-wood": ("fairway", 42.5, 18.5, 215),
    "7-wood": ("fairway", 42, 21.5, 220),
    "hybrid 15-18deg": ("hybrid", 40.5, 17.5, 228),
    "3-iron": ("iron", 39, 20.5, 241),
    "4-iron": ("iron", 38.5, 23.5, 247),
    "5-iron": ("iron", 38, 26.5, 254),
    "6-iron": ("iron", 37.5, 30, 261),
    "7-iron": ("iron", 37, 33.5, 268),
    "8-iron": ("iron", 36.5, 37.5, 275),
    "9-iron": ("iron", 36, 41.5, 282),
    "pitching wedge": ("wedge", 35.5, 46, 288),
}
