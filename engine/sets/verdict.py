"""The comparison in words: which layout, how sure, what decides, what it costs, and what would settle it."""

from __future__ import annotations

from dataclasses import dataclass

from ..documents.case import Case
from ..documents.result import Advice, LayoutResult
from ..swing.calibration import Posterior
from .compare import CRITERIA, HOLD_DESCENT, Comparison

SURE, LIKELY = 0.90, 0.70
DECIDES = "expected_miss_m"
_MEASURES = {m.name: m for m in CRITERIA}


def advise(
    case: Case, layouts: tuple[LayoutResult, ...], comparison: tuple[Comparison, ...], posterior: Posterior
) -> tuple[Advice, ...]:
    """Advice on the set: the verdict between the layouts first, then the top of the irons, then what to hit next."""
    out: list[Advice] = []
    verdict = _verdict(layouts, comparison)
    if verdict:
        out.append(verdict)
    for layout in layouts:
        if case.wants.longest_iron == next((c.id for c in layout.clubs if c.family == "iron"), ""):
            out.append(_wished_iron(layout, str(case.wants.longest_iron)))
        elif layout.summary.get("top_iron") is not None:
            out.append(_top_iron(layout))
    learned = _length_is_open(case, layouts, posterior)
    if learned:
        out.append(learned)
    return tuple(out)


def how_sure(chance: float) -> str:
    """A chance in words, the same everywhere."""
    if chance >= SURE:
        return "almost surely"
    if chance >= LIKELY:
        return "probably"
    return "perhaps"


@dataclass(frozen=True, slots=True)
class Favourite:
    """The layout most likely to leave the smaller miss, the one it runs closest with, and the chance it is better."""

    best: str
    rival: str
    chance: float


def favourite(layouts: tuple[LayoutResult, ...], comparison: tuple[Comparison, ...]) -> Favourite | None:
    """How the layouts stand by `DECIDES`; ``None`` where no two of them have it."""
    rows = {(c.a, c.b): c for c in comparison if c.measure == DECIDES}
    if not rows:
        return None

    def beats(one: str, other: str) -> float:
        if (one, other) in rows:
            return 1 - rows[one, other].chance_b_better
        return rows[other, one].chance_b_better if (other, one) in rows else 1.0

    # A layout of too few clubs has no such measure and takes no part.
    compared = [layout.id for layout in layouts if any(layout.id in pair for pair in rows)]

    def rivals(one: str) -> list[str]:
        return [other for other in compared if (one, other) in rows or (other, one) in rows]

    best = max(compared, key=lambda one: min(beats(one, other) for other in rivals(one)))
    rival = min(rivals(best), key=lambda other: beats(best, other))
    return Favourite(best, rival, beats(best, rival))


def _verdict(layouts: tuple[LayoutResult, ...], comparison: tuple[Comparison, ...]) -> Advice | None:
    """The verdict in words."""
    found = favourite(layouts, comparison)
    if found is None:
        return None
    titles = _told_apart(layouts)
    best, rival, sure = found.best, found.rival, found.chance
    row = next(c for c in comparison if c.measure == DECIDES and {c.a, c.b} == {best, rival})
    less = abs(row.difference.mean)
    reasons = [f"it leaves {less:.1f} m less between the distances faced and the nearest club"]
    reasons += _reasons(best, rival, comparison)
    if sure < LIKELY or less < _MEASURES[DECIDES].least:
        what = f"{titles[best].capitalize()} and {titles[rival]} come out level; choose by feel and by cost."
    else:
        what = f"{titles[best].capitalize()} {how_sure(sure)} suits better than {titles[rival]}."
    return Advice(what, "; ".join(reasons) + ".", sure, "verdict", (best, rival))


def _told_apart(layouts: tuple[LayoutResult, ...]) -> dict[str, str]:
    """Titles by id; of several of one title the second and later are numbered."""
    out: dict[str, str] = {}
    for layout in layouts:
        title, number = layout.title, 2
        while title in out.values():
            title, number = f"{layout.title} ({number})", number + 1
        out[layout.id] = title
    return out


def _reasons(best: str, rival: str, comparison: tuple[Comparison, ...]) -> list[str]:
    out = []
    for row in comparison:
        if {row.a, row.b} != {best, rival} or row.measure == DECIDES:
            continue
        sign = 1.0 if row.b == best else -1.0
        difference, better = (
            sign * row.difference.mean,
            row.chance_b_better if sign > 0 else 1 - row.chance_b_better,
        )
        if abs(difference) < _MEASURES[row.measure].least or 1 - LIKELY < better < LIKELY:
            continue
        measure = _MEASURES[row.measure]
        more = "more" if difference > 0 else "less"
        unit = {"m": " m", "deg": " deg", "-": ""}[measure.unit]
        out.append(
            f"{'for' if better >= LIKELY else 'against'} it: {measure.title} {abs(difference):.1f}{unit} {more}"
            f" (chance {100 * max(better, 1 - better):.0f} %)"
        )
    return out


def _top_iron(layout: LayoutResult) -> Advice:
    top, sure = str(layout.summary["top_iron"]), float(layout.summary["top_iron_chance"])
    names = {c.id: c.name or c.id for c in layout.clubs}
    return Advice(
        f"{layout.title.capitalize()}: let the irons stop at the {names[top]}.",
        f"It is the longest iron that still adds carry and comes down steeply enough ({HOLD_DESCENT:.0f} deg, less for one "
        "whose irons all fly flat); above it take a hybrid or a fairway wood.",
        sure,
        f"top:{layout.id}",
        (layout.id,),
    )


def _wished_iron(layout: LayoutResult, longest: str) -> Advice:
    """The player's own word on where the irons stop, beside the iron that would be taken without it."""
    names = {c.id: c.name or c.id for c in layout.clubs}
    top = layout.summary.get("top_iron")
    why = "" if top in (None, longest) else f" Without that they would stop at the {names[str(top)]}."
    return Advice(
        f"{layout.title.capitalize()}: the irons stop at the {names[longest]}.",
        f"That is what was asked for.{why}",
        None,
        f"top:{layout.id}",
        (layout.id,),
    )


def _length_is_open(case: Case, layouts: tuple[LayoutResult, ...], posterior: Posterior) -> Advice | None:
    changed = any(layout.kind in ("single", "two_lengths", "single_wedges") for layout in layouts)
    if not changed or any(shot.grip_down_m > 0.01 and shot.use for shot in case.shots):
        return None
    return Advice(
        "Hit ten balls with one iron gripped down by an inch and a half, and mark them so.",
        "Carries at ordinary lengths cannot tell what length does from what loft and intent do; gripped-down balls can, "
        "and that is what a change of length rests on.",
        None,
        "next",
    )
