"""What the numbers mean, in sentences. Takes the case and the result document, gives plain text;
computes nothing."""

from __future__ import annotations

from typing import Any

from app.units import unit
from engine.documents.case import Case, Conditions
from engine.sets.compare import CRITERIA as ENGINE_MEASURES

SURE, LIKELY = 0.90, 0.70
DECIDES = "expected_miss_m"
# of each measure its quantity and which is better
CRITERION_TITLES = {
    "expected_miss_m": ("gap", "less"),
    "gap_spread_m": ("gap", "less"),
    "widest_gap_m": ("gap", "smaller"),
    "narrowest_gap_m": ("gap", "larger"),
    "overlaps": ("count1", "fewer"),
    "reach_m": ("carry", "more"),
    "top_descent_deg": ("angle", "steeper"),
    "posture_spread_deg": ("angle", "less"),
}
_OF_ENGINE = {m.name: m for m in ENGINE_MEASURES}
KINDS = {
    "present": "Present set",
    "stepped": "Stepped lengths",
    "single": "Single length",
    "single_wedges": "Single-length wedges",
    "two_lengths": "Two lengths",
    "own": "Own lengths",
}

# what is built of a club: its label, its name in the documents and its quantity
CLUB_KEYS = {
    "length": ("length_m", "club"),
    "loft": ("loft_deg", "set_angle"),
    "lie": ("lie_deg", "set_angle"),
    "head": ("head_kg", "mass"),
}


def amount(value: float | None, quantity: str, system: str, *, bare: bool = False) -> str:
    """A value with its unit; ``count1`` is a plain number with one decimal."""
    if value is None:
        return "\u2013"
    if quantity == "count1":
        return f"{value:.1f}"
    return unit(quantity, system).text(value, unit=not bare)


def between(low: float, high: float, quantity: str, system: str) -> str:
    """``133 to 145 m``."""
    shown = unit(quantity, system)
    return f"{shown.text(low)} to {shown.text(high, unit=True)}"


def percent(chance: float) -> str:
    """A chance in whole per cent, never claiming certainty from a few hundred draws."""
    if chance >= 0.995:
        return "over 99\u00a0%"
    if chance <= 0.005:
        return "under 1\u00a0%"
    return f"{100 * chance:.0f}\u00a0%"


def layout_title(layout: dict[str, Any], system: str, *, case: Case | None = None) -> str:
    """The layout's kind, with its common length where it has one."""
    title = KINDS.get(layout["kind"], layout["kind"])
    lengths = {round(c["length_m"], 4) for c in layout["clubs"] if c["family"] in ("iron", "wedge")}
    if layout["kind"] == "single" and len(lengths) == 1:
        return f"{title}, {unit('club', system).brief(lengths.pop())}"
    return title


def titles(result: dict[str, Any], system: str, *, lengths: bool = True) -> dict[str, str]:
    """Titles of all layouts, told apart where two have the same; ``lengths`` puts a common length to them."""
    out: dict[str, str] = {}
    for layout in result["layouts"]:
        plain = layout_title(layout, system) if lengths else KINDS.get(layout["kind"], layout["kind"])
        title, number = plain, 2
        while title in out.values():
            title = f"{plain} ({number})"
            number += 1
        out[layout["id"]] = title
    return out


def verdict(result: dict[str, Any]) -> dict[str, Any] | None:
    """The engine's verdict, if it gave one."""
    return next((a for a in result["advice"] if a.get("topic") == "verdict"), None)


def better(result: dict[str, Any], system: str) -> tuple[str, float] | None:
    """Which of the pair that the verdict rests on leaves less distance over, and with what chance."""
    said = verdict(result)
    if said is None or said["chance"] is None:
        return None
    names = titles(result, system)
    first, other = said["layouts"]
    row = next(
        r for r in result["comparison"] if r["measure"] == DECIDES and {r["a"], r["b"]} == {first, other}
    )
    by = amount(abs(row["difference"]["mean"]), "gap", system)
    words = f"Chance that {_lower(names[first])} leaves less distance over to the nearest club"
    return f"{words} than {_lower(names[other])}; the difference is {by}", said["chance"]


def reasons(result: dict[str, Any], system: str) -> list[str]:
    """What speaks for and against, pair by pair, surest first; only differences that are probable and
    large enough."""
    names = titles(result, system)
    rows = []
    for row in result["comparison"]:
        if row["measure"] not in CRITERION_TITLES or row["measure"] == DECIDES:
            continue
        chance, size = row["chance_b_better"], abs(row["difference"]["mean"])
        (quantity, way), of_engine = CRITERION_TITLES[row["measure"]], _OF_ENGINE[row["measure"]]
        what = of_engine.title
        if 1 - LIKELY < chance < LIKELY or size < of_engine.least:
            continue
        winner, loser = (row["b"], row["a"]) if chance >= 0.5 else (row["a"], row["b"])
        sure = max(chance, 1 - chance)
        than = f" than {_lower(names[loser])}" if len(names) > 2 else ""
        rows.append(
            (
                sure,
                what,
                f"{names[winner]}: {way} {what}{than}, by {amount(size, quantity, system)} "
                f"({percent(sure)}).",
            )
        )
    rows.sort(key=lambda r: -r[0])
    said: dict[str, str] = {}  # of each measure the surest pair
    for _, what, text in rows:
        said.setdefault(what, text)
    return list(said.values())


def carries_line(result: dict[str, Any], system: str) -> str:
    """One line that says what the plot of carries shows."""
    parts = []
    names = titles(result, system)
    for layout in result["layouts"]:
        clubs = [c for c in layout["clubs"] if c["family"] in ("iron", "wedge")] or layout["clubs"]
        if clubs:
            longest, shortest = clubs[0], clubs[-1]
            parts.append(
                f"{names[layout['id']]}: {longest['name']} "
                f"{amount(longest['carry_m']['mean'], 'carry', system)}, "
                f"{shortest['name']} {amount(shortest['carry_m']['mean'], 'carry', system)}"
            )
    if not parts:
        return "No clubs to show."
    return "Carry of each club; the bar holds it with 90 % chance. " + "; ".join(parts) + "."


def gaps_line(result: dict[str, Any], system: str, wanted_m: float | None = None) -> str:
    """One line on the widest and narrowest gap of each layout, and on the band of the wanted gap [m]."""
    parts = []
    names = titles(result, system)
    for layout in result["layouts"]:
        ids = {c["id"] for c in layout["clubs"] if c["family"] in ("iron", "wedge")}
        gaps = [g for g in layout["gaps"] if g["longer"] in ids and g["shorter"] in ids]
        if gaps:
            means = [g["gap_m"]["mean"] for g in gaps]
            parts.append(
                f"{names[layout['id']]}: {amount(min(means), 'gap', system, bare=True)} to "
                f"{amount(max(means), 'gap', system)}"
            )
    if not parts:
        return "No gaps to show."
    band = f" The band is {amount(wanted_m, 'gap', system)} and a quarter to each side." if wanted_m else ""
    return "Gaps between neighbouring irons and wedges. " + "; ".join(parts) + "." + band


MOST_BALLS = 40  # that anybody would hit with one club for its mean


def balls_line(group: dict[str, Any], system: str) -> str:
    """How sure a club's mean is and what it takes to be surer."""
    carry = group["carry_m"]
    n = group["n"] - group["left_out"]
    if n < 2 or carry["lo90"] is None:
        return "One ball so far: a second one begins to show the spread."
    more = group["balls_for_2m"]
    limit = amount(2.0, "gap", system)
    if more > MOST_BALLS:
        return f"More than {MOST_BALLS} more balls would pin the mean down to \u00b1{limit}; the pattern is what it is."
    if more > 0:
        return f"{more} more ball{'s' if more != 1 else ''} would pin the mean down to \u00b1{limit}."
    return f"The mean is pinned down to \u00b1{limit} or better."


def body_estimates(case: Case, system: str) -> list[str]:
    """What is estimated of the body, shown as an estimate with its spread."""
    player = case.player
    if player.height_m is None or player.wrist_to_floor_m is not None:
        return []
    try:
        from engine.body.survey import wrist_to_floor
    except ImportError:
        return []
    guess = wrist_to_floor(player.height_m, wingspan_m=player.wingspan_m, sex=player.sex)
    shown = unit("body", system)
    half = shown.text(1.645 * guess.sd_m)
    return [
        f"Estimated wrist to floor: {shown.text(guess.mean_m)} \u00b1 {half} {shown.name} (90 %), from a "
        f"survey of bodies."
    ]


def _lower(title: str) -> str:
    return title[:1].lower() + title[1:]


_FROM = {0.0: "into the face", 90.0: "from the right", 180.0: "from behind", 270.0: "from the left"}


def air_line(case: Case, system: str) -> str:
    """The air that carries are predicted for."""
    air = case.wants.air
    if air is None or air == Conditions():
        return f"In reference air: {amount(20.0, 'temperature', system)}, sea level, no wind."
    parts = [
        amount(air.temperature_c, "temperature", system),
        f"{amount(air.altitude_m, 'height', system)} above sea",
    ]
    if air.wind_mps > 0:
        side = min(_FROM, key=lambda a: abs((air.wind_from_deg - a + 180) % 360 - 180))
        parts.append(f"wind {amount(air.wind_mps, 'wind', system)} {_FROM[side]}")
    else:
        parts.append("no wind")
    return "In today\u2019s air: " + ", ".join(parts) + "."


PARAMETERS = {
    "log_speed": "head speed of the reference club, logarithm",
    "length_effect": "what a longer club adds to head speed",
    "head_mass_effect": "what a heavier head takes from it",
    "loft_intent": "what a higher loft, by intent, takes from it",
    "attack": "angle of attack of the reference club",
    "attack_slope": "how the attack changes along the set",
    "loft_offset": "loft as delivered less loft as built",
    "loft_slope": "how that changes with loft",
    "strike": "how squarely the ball is struck",
    "spin_factor": "spin against rolling",
    "spin_slope": "how that changes with loft",
    "ball_drag": "drag of the ball against the model",
    "ball_lift": "lift of the ball against the model",
    "range_ball": "range ball against a play ball",
}
