"""The little of a store that the page shows, and lets people add to, before the dashboard is there."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from app.phrases.lines import brief
from app.players import Store, is_blank
from app.units import SYSTEMS, as_typed
from engine.documents.case import Case


def glance(store: Store) -> dict[str, Any]:
    """What goes with a save, as plain texts; the page keeps it where it can be read before the first frame."""
    from app.phrases.tally import tally

    case = store.entry.case
    club = first_club(store)
    sizes = (case.player.height_m, case.player.wingspan_m)
    return {
        "player": store.open,
        "name": store.entry.name,
        "units": store.units,
        "blank": is_blank(case),
        "body": {system: [as_typed(size, "body", system) for size in sizes] for system in SYSTEMS},
        "clubs": [[chip, id_, case.club(id_).name] for chip, id_ in club_chips(case, club).items()],
        "club": club,
        "tally": tally(case, club, 0.0, store.units) if case.shots else "",
        "parts": bool(case.swing_sizes),
        "early": {page: number for page, (number, _) in store.early.items()},
    }


def first_club(store: Store) -> str:
    """The club to type carries for at first: the one chosen last, or hit last, else a 7-iron."""
    case = store.entry.case
    ids = [c.id for c in case.carried if c.family != "putter"]
    if store.club in ids:
        return store.club
    used = case.shots[-1].club if case.shots else None
    return used if used in ids else ("7i" if "7i" in ids else (ids[0] if ids else ""))


def club_chips(case: Case, chosen: str) -> dict[str, str]:
    """Ids of the clubs that carries can be typed for, by what stands on their buttons: a short name and how many balls."""
    counts: dict[str, int] = {}
    for shot in case.shots:
        counts[shot.club] = counts.get(shot.club, 0) + 1
    out: dict[str, str] = {}
    for club in case.bag:
        if club.family != "putter" and (club.became is None or club.id == chosen):
            name = brief(club.id, club.name)
            if name in out:
                name = f"{name} [{club.id}]"
            out[name + (f" \u00b7 {counts[club.id]}" if club.id in counts else "")] = club.id
    return out


def club_named(case: Case, chip: str) -> str:
    """The id of the club on whose button this stood, without how many balls it has; "" if there is none."""
    found = (id_ for name, id_ in club_chips(replace(case, shots=()), "").items() if name == chip)
    return next(found, "")
