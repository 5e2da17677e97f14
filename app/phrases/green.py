"""What is said of a shot at a green."""

from __future__ import annotations

from collections.abc import Sequence

from app.html import Safe, table
from app.phrases.lines import called
from app.phrases.marks import Marks
from app.phrases.say import percent, percents
from app.units import amount, unit
from engine.course.club_for_distance import Option
from engine.course.green import LEAST_DRIFT_M, SIDES, Approach, Green
from engine.sets.dispersion import Direction

MORE_OFTEN = 0.03  # of balls, less than which nothing is made of it; ours
WHERE = {"short": "ends short", "long": "goes over", "left": "ends left", "right": "ends right"}
AS_GOOD = 0.05  # [strokes], less than which one club is as good as another; ours
LURK_NAMES = {"fairway": "Fairway", "rough": "Rough", "sand": "Bunker", "water": "Water"}
HOLDS = (
    "Strokes are those of a tour player from where the ball comes to rest (Broadie). They tell clubs apart; most players "
    "need more."
)


def green_lines(
    found: tuple[Approach, ...], title: str, system: str, marks: Marks, green: Green | None = None
) -> list[str]:
    """The best club at a green in a sentence, with why it is not the one most often on it; how to aim it, and another that
    is as good.
    """
    best, *others = found
    shown = unit("carry", system)
    lines = [
        f"{percents(_chances(best))[0]} chance of the green, {best.strokes.mean:.1f} strokes to hole out for a tour player, "
        f"{title}. {_why_not(best, others, green, marks) if green else ''}".strip()
    ]
    aim = round(shown.shown(best.aim_m))
    if aim:
        lines.append(
            f"Aim {amount(abs(best.aim_m), 'carry', system)} {'right' if aim > 0 else 'left'} of the flag for the wind; "
            f"straight at it the chance is {percent(best.on_straight)}."
        )
    near = [
        called(o, marks)
        for o in others
        if o.strokes.mean - best.strokes.mean < AS_GOOD
        or f"{o.strokes.mean:.1f}" == f"{best.strokes.mean:.1f}"
    ]
    if near:
        lines.append(f"The {near[0]} is as good.")
    return lines


def _why_not(best: Approach, others: Sequence[Approach], green: Green, marks: Marks) -> str:
    """Where another club is on the green more often: what speaks against it, water before anything else."""
    other = max(others, key=lambda o: o.on, default=best)
    if other.on - best.on < MORE_OFTEN:
        return ""
    more = {side: getattr(other, side) - getattr(best, side) for side in SIDES}
    side = max(more, key=lambda s: (more[s] > MORE_OFTEN and getattr(green, s) == "water", more[s]))
    lie = LURK_NAMES[getattr(green, side)].lower()
    says = f"The {called(other, marks)} has {percents(_chances(other))[0]}"
    if more[side] < MORE_OFTEN:
        return f"{says}, but takes more."
    against, for_best = percent(getattr(other, side)), percent(getattr(best, side))
    return f"{says}, but {WHERE[side]}, in the {lie}, {against} against {for_best}."


def depth_line(front_m: float, back_m: float, system: str) -> str:
    """How a green lies about its flag, and that it stays so when the distance to it changes."""
    front, back = (amount(deep, "carry", system) for deep in (front_m, back_m))
    return (
        f"{front} from the front to the flag, {back} from the flag to the back. Change the distance, and the green moves "
        "with the flag."
    )


def run_line(run_m: float, system: str) -> str:
    """What a ball does that lands on the green, ``run_m`` on from where it lands."""
    if abs(run_m) < 1:
        return "A ball that lands on the green stops within a step or so; that is known only roughly."
    does = "runs" if run_m > 0 else "spins back"
    return f"A ball that lands on the green {does} about {amount(abs(run_m), 'carry', system)}; that is known only roughly."


def nearer_line(best: Approach, nearest: Option, marks: Marks) -> str:
    """Why the club for the green is not the one that comes down nearest to the flag; nothing where it is."""
    if (best.id, best.swing_size) == (nearest.id, nearest.swing_size):
        return ""
    return (
        f"To come down at the flag it would be the {called(nearest, marks)}; here what the ball does on the green and round "
        f"it counts too, and the {called(best, marks)} takes fewest strokes."
    )


def drift_line(side_m: float, system: str) -> str:
    """What a wind from the side does to a ball aimed at a distance, ``side_m`` to the right."""
    if abs(side_m) < LEAST_DRIFT_M:
        return ""
    way = "right" if side_m > 0 else "left"
    return (
        f"The wind moves the ball about {amount(abs(side_m), 'carry', system)} to the {way}: aim off for it. The "
        "chances are of distance alone."
    )


def green_table(found: tuple[Approach, ...], marks: Marks) -> Safe:
    """Chances of one swing with each of the best clubs, and strokes to hole out."""
    swing = "swing" if any(o.swing_size for o in found) else "full swing"
    rows = [
        [
            called(o, marks),
            *percents(_chances(o), bare=True),
            f"{o.strokes.mean:.1f}",
        ]
        for o in found
    ]
    return table(
        ["Club", "on", "short", "long", "wide", "strokes"],
        rows,
        caption=f"Chances of one {swing} (%)",
        above=True,
    )


def _chances(option: Approach) -> tuple[float, ...]:
    """On the green, short, long and wide of it."""
    return option.on, option.short, option.long, option.left + option.right


def direction_line(direction: Direction) -> str:
    """How far balls differ in direction, and how far that rests on the player's own."""
    told = f"Direction: \u00b1{direction.sd_deg:.1f}\u00b0 in two shots of three"
    if not direction.own:
        return f"{told}, from common practice until balls of yours have a side noted."
    return (
        f"{told}, {percent(direction.own)} of it from your {direction.balls} balls with a side noted, the rest from common "
        "practice."
    )


def green_notes(green: Green, found: tuple[Approach, ...], direction: Direction, system: str) -> list[str]:
    """What the chances and strokes rest on."""
    lies = list(dict.fromkeys(getattr(green, side) for side in SIDES))
    lost = [LURK_NAMES[lie].lower() for lie in lies if lie != "water"]
    notes = [
        HOLDS,
        f"A ball off the green is played from {' or '.join(lost)} as a tour player would." if lost else "",
        "A ball in the water costs a stroke and is dropped in the rough at the same distance."
        if "water" in lies
        else "",
        run_line(found[0].run_m, system),
        direction_line(direction),
    ]
    return [n for n in notes if n]
