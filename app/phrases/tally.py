"""What stands beside the field for carries: how many balls, the last one and the mean; and what else was measured."""

from __future__ import annotations

from collections.abc import Mapping
from math import fsum

from app.dates import iso_today
from app.sessions import last_ball
from app.units import amount, carry_as_typed
from engine.documents.case import Case, Shot
from engine.shots.summary import Summary
from engine.swing.launch_data import counts_as_range, launch_means, mean_as_hit, with_good_ball
from engine.swing.observations import ClubShots, gather
from engine.swing.part_swings import part_shots
from engine.swing.sessions import hit_in

LAUNCH = {
    "ball_speed": ("ball speed", "speed"),
    "club_speed": ("club speed", "speed"),
    "launch": ("launch", "angle"),
    "spin": ("spin", "spin"),
}

NO_BALLS = "No balls yet"


def tally(
    case: Case, club_id: str, grip_m: float, system: str, *, swing_size: str | None = None, into: str = ""
) -> str:
    """``8 balls, last 115 m, mean 140 m``, from the case alone, so that no sum has to be waited for; the last is
    one of today's, or of the session ``into`` which balls go."""
    swung = [s for s in case.shots if (s.club, s.swing_size) == (club_id, swing_size)]
    shots = [s for s in swung if abs(s.grip_down_m - grip_m) < 1e-3]
    if not shots:
        return no_balls(case, club_id, swing_size)
    count = round(fsum(s.balls for s in shots))
    parts = [f"{count} ball{'s' if count != 1 else ''}"]
    index = last_ball(case, club_id, swing_size, grip_m=grip_m, today=True, into=into)
    last = case.shots[index] if index is not None else None
    if last is not None:
        carry = f" {carry_as_typed(last.carry_m, system)}" if last.carry_m is not None else " without a carry"
        parts.append(f"last{carry}")
    groups = gather(case)[1] if swing_size is None else part_shots(case, swing_size)
    found = (g for g in groups if g.club.id == club_id and abs(g.grip_down - grip_m) < 1e-3)
    group = next(found, None)
    if group is not None:
        mean, hit = mean_as_hit(case, group), hit_in(case)
        why = why_not_the_average(shots, group.carry, mean, system)
        parts.append(f"mean {amount(mean, 'carry', system)}{why}")
        if counts_as_range(hit):
            parts.append(f"about {amount(with_good_ball(mean, hit), 'carry', system)} with a good ball")
    return ", ".join(parts)


def no_balls(case: Case, club_id: str, swing_size: str | None = None) -> str:
    """That there are none; of a club that was worked on, how many there are from before."""
    was = {c.id for c in case.bag if c.became == club_id}
    before = round(fsum(s.balls for s in case.shots if s.club in was and s.swing_size == swing_size))
    return f"No balls since the build, {before} before it" if before else NO_BALLS


def why_not_the_average(shots: list[Shot], summary: Summary, mean: float, system: str) -> str:
    """Why a mean is not the plain average of the balls, where the two read differently; else nothing."""
    carries = [(s.carry_m, s.balls) for s in shots if s.carry_m is not None]
    plain = fsum(c * w for c, w in carries) / fsum(w for _, w in carries)
    if amount(plain, "carry", system) == amount(mean, "carry", system):
        return ""
    excluded = sum(1 for s in shots if s.carry_m is not None and not s.use)
    why = []
    if summary.left_out:
        why.append(f"{summary.left_out} mishit{'s' if summary.left_out > 1 else ''} left out")
    if excluded:
        why.append(f"{excluded} excluded")
    if not why:
        why.append("balls far from the rest count less")
    return f" (all balls average {amount(plain, 'carry_fine', system)}; {', '.join(why)})"


def what_the_days_did(case: Case, group: ClubShots, day: Mapping[str | None, float], system: str) -> str:
    """What the days of a club's balls did to all clubs, by ``day`` [log carry]; nothing where they were like the others."""
    balls: dict[str | None, float] = {}
    for shot in (case.shots[n] for n in group.shots):
        if shot.use:
            balls[shot.session] = balls.get(shot.session, 0.0) + shot.balls
    by = fsum(n * day.get(one, 0.0) for one, n in balls.items()) / max(fsum(balls.values()), 1.0)
    share, none = amount(abs(by), "percent", system), amount(0.0, "percent", system)
    if share == none:
        return ""
    today = any(one.id in balls and one.date == iso_today() for one in case.sessions)
    when = "On the days of these balls" if len(balls) > 1 else "Today" if today else "That day"
    return f"{when} all clubs flew about {share} {'farther' if by > 0 else 'shorter'} than usual."


def launch_line(case: Case, club_id: str, system: str) -> str:
    """What was measured of a club's balls besides carry, in a line; nothing where nothing was."""
    parts = [
        f"{LAUNCH[m.quantity][0]} {amount(m.mean, LAUNCH[m.quantity][1], system)} "
        f"({m.balls} ball{'s' if m.balls != 1 else ''})"
        for m in launch_means(case)
        if m.club == club_id and m.grip_down_m < 1e-3
    ]
    sides = [s.side_m for s in case.full_shots if s.club == club_id and s.use and s.side_m is not None]
    if sides:
        mean = fsum(sides) / len(sides)
        off = amount(abs(mean), "carry", system)
        way = "" if off.startswith("0\u00a0") else " right" if mean > 0 else " left"
        parts.append(f"side {off}{way} ({len(sides)})")
    return f"Measured: {', '.join(parts)}." if parts else ""
