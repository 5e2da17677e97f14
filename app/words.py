"""What the numbers mean, in sentences. Takes the case and the result document, gives plain text;
computes nothing."""

from __future__ import annotations

from typing import Any

from app.measures import unit
from engine.case import Case, Conditions

SURE, LIKELY = 0.90, 0.70
DECIDES = "expected_miss_m"
# what it is, its quantity, which is better, and the least difference worth a sentence [m, deg, -]
MEASURES = {
    "expected_miss_m": ("distance left over to the nearest club", "gap", "less", 0.15),
    "gap_spread_m": ("unevenness of the gaps", "gap", "less", 0.5),
    "widest_gap_m": ("widest gap", "gap", "smaller", 1.0),
    "narrowest_gap_m": ("narrowest gap", "gap", "larger", 1.0),
    "overlaps": ("pairs of clubs doing one job", "count1", "fewer", 0.3),
    "reach_m": ("carry of the longest iron", "carry", "more", 2.0),
    "top_descent_deg": ("descent of the longest iron", "angle", "steeper", 1.0),
    "posture_spread_deg": ("change of posture through the irons", "angle", "less", 1.0),
}
KINDS = {
    "present": "Present set",
    "stepped": "Stepped lengths",
    "single": "Single length",
    "single_wedges": "Single-length wedges",
    "two_lengths": "Two lengths",
    "own": "Own lengths",
}


def amount(value: float | None, quantity: str, system: str, *, bare: bool = False) -> str:
    """A value with its unit; ``count1`` is a plain number with one decimal."""
    if value is None:
        return "\u2013"
    if quantity == "count1":
        return f"{value:.1f}"
    return unit(quantity, system).text(value, unit=not bare)


def interval(mean: float, low: float | None, high: float | None, quantity: str, system: str) -> str:
    """``139 (133 to 145) m``."""
    shown = unit(quantity, system)
    if low is None or high is None:
        return shown.text(mean, unit=True)
    return f"{shown.text(mean)} ({shown.text(low)} to {shown.text(high)}) {shown.name}"


def percent(chance: float) -> str:
    """A chance in whole per cent, never claiming certainty from a few hundred draws."""
    if chance >= 0.995:
        return "over 99 %"
    if chance <= 0.005:
        return "under 1 %"
    return f"{100 * chance:.0f} %"


def layout_title(layout: dict[str, Any], system: str, *, case: Case | None = None) -> str:
    """The layout's kind, with its common length where it has one."""
    title = KINDS.get(layout["kind"], layout["kind"])
    lengths = {round(c["length_m"], 4) for c in layout["clubs"] if c["family"] in ("iron", "wedge")}
    if layout["kind"] == "single" and len(lengths) == 1:
        return f"{title}, {amount(lengths.pop(), 'club', system)}"
    return title


def titles(result: dict[str, Any], system: str) -> dict[str, str]:
    """Titles of all layouts, told apart where two have the same."""
    out: dict[str, str] = {}
    for layout in result["layouts"]:
        title = layout_title(layout, system)
        number = 2
        while title in out.values():
            title = f"{layout_title(layout, system)} ({number})"
            number += 1
        out[layout["id"]] = title
    return out


def verdict(result: dict[str, Any]) -> dict[str, Any] | None:
    """The engine's verdict, if it gave one."""
    return next((a for a in result["advice"] if a.get("topic") == "verdict"), None)


def better_line(result: dict[str, Any], system: str) -> str:
    """Which of the pair that the verdict rests on leaves less distance over, and with what chance."""
    said = verdict(result)
    if said is None or said["chance"] is None:
        return ""
    names = titles(result, system)
    for row in result["comparison"]:
        chance = row["chance_b_better"]
        sure = max(chance, 1 - chance)
        if row["measure"] == DECIDES and abs(sure - max(said["chance"], 1 - said["chance"])) < 1e-9:
            winner = row["b"] if chance >= 0.5 else row["a"]
            return f"Chance that {_lower(names[winner])} leaves less distance over: {percent(sure)}."
    return f"Chance: {percent(said['chance'])}."


def reasons(result: dict[str, Any], system: str) -> list[str]:
    """What speaks for and against, pair by pair, surest first; only differences that are probable and
    large enough."""
    names = titles(result, system)
    rows = []
    for row in result["comparison"]:
        if row["measure"] not in MEASURES or row["measure"] == DECIDES:
            continue
        chance, size = row["chance_b_better"], abs(row["difference"]["mean"])
        what, quantity, way, least = MEASURES[row["measure"]]
        if 1 - LIKELY < chance < LIKELY or size < least:
            continue
        winner, loser = (row["b"], row["a"]) if chance >= 0.5 else (row["a"], row["b"])
        sure = max(chance, 1 - chance)
        than = f" than {_lower(names[loser])}" if len(names) > 2 else ""
        rows.append(
            (
                sure,
                f"{names[winner]}: {way} {what}{than}, by {amount(size, quantity, system)} "
                f"({percent(sure)}).",
            )
        )
    rows.sort(key=lambda r: -r[0])
    return [text for _, text in rows]


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


def gaps_line(result: dict[str, Any], system: str) -> str:
    """One line on the widest and narrowest gap of each layout."""
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
    return (
        "Gaps between neighbouring irons and wedges. " + "; ".join(parts) + "."
        if parts
        else "No gaps to show."
    )


def balls_line(group: dict[str, Any], system: str) -> str:
    """How sure a club's mean is and what it takes to be surer."""
    carry = group["carry_m"]
    n = group["n"] - group["left_out"]
    if n < 2 or carry["lo90"] is None:
        return "One ball so far: a second one begins to show the spread."
    more = group["balls_for_2m"]
    limit = amount(2.0, "gap", system)
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


SHOP_CAUTIONS = (
    "Bending can crack a hosel or fling a part: eye protection, the right machine for the head, small "
    "steps; do not bend "
    "what the maker or a qualified club builder says not to bend. Cast heads take less than forged ones.",
    "Cutting shafts and grinding make harmful dust and splinters: mask, eye protection, gloves, "
    "ventilation; wrap the cut.",
    "Epoxy and solvents: gloves, fresh air, no flame; let the glue cure in full before the club is swung.",
    "Heat loosens glue and can harm a composite shaft: gentle, short, never on a head full of filler you "
    "do not know.",
    "Cut ends are sharp. A head that was bonded or bent comes off on the range, not in a hall full of "
    "people: test it first.",
    "Local codes, and a qualified club builder, decide. The rule book and the committee of the day "
    "decide what may be played.",
)


def change_cautions(changes: list[tuple[str, Any, dict[str, Any]]], system: str) -> list[str]:
    """Cautions about particular clubs of a sheet, next to what they are about."""
    bent: list[str] = []
    far: list[str] = []
    longer: list[str] = []
    added: list[str] = []
    lighter: list[str] = []
    for name, now, wanted in changes:
        by = max(abs(wanted["loft_deg"] - now.loft_deg), abs(wanted["lie_deg"] - now.lie_deg))
        limit = now.bend_limit_deg
        if by >= 0.25:
            bent.append(name)
        if limit is not None and by > limit + 1e-9:
            far.append(f"{name} by {amount(by, 'angle', system)}, limit {amount(limit, 'angle', system)}")
        elif limit is None and by > 2.0 + 1e-9:
            far.append(f"{name} by {amount(by, 'angle', system)}, more than the 2\u00b0 that most heads take")
        if wanted["length_m"] - now.length_m > 0.002:
            longer.append(name)
        if wanted["head_kg"] - now.head_kg > 0.001:
            added.append(name)
        if now.head_kg - wanted["head_kg"] > 0.001:
            lighter.append(name)
    out = []
    if far:
        out.append(
            "Too far to bend (common practice, no source): "
            + "; ".join(far)
            + ". Take another head or live with less."
        )
    if bent:
        out.append(
            "To be bent: "
            + ", ".join(bent)
            + ". Each degree of loft taken off takes a degree of bounce off too."
        )
    if longer:
        out.append(
            "Longer than now: "
            + ", ".join(longer)
            + ". A butt extension or a new shaft; an extension has its limits."
        )
    if added:
        out.append(
            "Head heavier than now: " + ", ".join(added) + ". Weight in the hosel or on the back, bonded."
        )
    if lighter:
        out.append(
            "Head lighter than now: "
            + ", ".join(lighter)
            + ". Usually another head; grinding weight off is for a builder."
        )
    return out


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
