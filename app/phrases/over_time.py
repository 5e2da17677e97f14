"""Then and now in words: what clearly changed from some sessions to others, and what did not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from app.dates import day
from app.phrases import phrase
from app.phrases.record import renamed
from app.phrases.say import listed, many
from app.phrases.swing import CLEAR
from app.units import unit
from engine.documents.case import Conditions
from engine.swing.then_and_now import RETEST, Change, Day, ThenAndNow

ALL = {
    "pace": "carry of all clubs together",
    "club_speed": "club speed",
    "ball_speed": "ball speed",
    "spread": "spread of carry",
}
UNCHANGED = "carry of the clubs that were not changed"
ONE_SIDE = "No club was hit both before and now, so there is nothing to compare."
NO_CARRIES = "There are no carries to compare: balls hit gripped down are left out."
TOLD = "Clear changes:"


def sides(found: ThenAndNow) -> str:
    """Which sessions are compared."""
    days = [one.date for one in found.days if id_of(one) in (*found.before, *found.after)]
    if len(days) == 2 and days[0] and days[0] == days[1]:
        return f"Before: the first session of {day(days[0])}. Now: the one after it."
    return f"Before: {_span(found, found.before)}. Now: {_span(found, found.after)}."


def _span(found: ThenAndNow, ids: Sequence[str | None]) -> str:
    there = [one for one in found.days if id_of(one) in ids]
    known = sorted(one.date for one in there if one.date)
    said = many(len(ids), "session")
    if not known:
        return ", ".join((said, *dict.fromkeys(map(title, there))))
    first, last = day(known[0]), day(known[-1])
    return f"{said}, {first}" if first == last else f"{said}, {first} to {last}"


def beyond(found: ThenAndNow, system: str, names: Mapping[str, str]) -> list[str]:
    """What clearly changed, a sentence each."""
    stated = (one.statement for one in found.changes if one.beyond_chance)
    told = (phrase(renamed(one, names), system) for one in stated)
    return [sentence.replace(CLEAR, ".") for sentence in told]


def within(found: ThenAndNow, names: Mapping[str, str]) -> str:
    """What did not, in one sentence; nothing where all did."""
    left = [one for one in found.changes if not one.beyond_chance]
    said = [_of_all(one) for one in left if one.what in ALL]
    carries = [names.get(one.clubs[0], one.clubs[0]) for one in left if one.what == "carry"]
    if carries:
        said.append(f"carry of the {listed(carries)}")
    gaps = [one for one in left if one.what == "gap"]
    if gaps:
        pairs = [" to ".join(names.get(i, i) for i in one.clubs) for one in gaps]
        said.append(f"{'gap' if len(gaps) == 1 else 'gaps'} {listed(pairs)}")
    return f"No clear change in: {'; '.join(said)}." if said else ""


def _of_all(change: Change) -> str:
    """What is true of all clubs, or of those that were not changed."""
    return UNCHANGED if change.statement.terms.get("of") == "unchanged" else ALL[change.what]


def ranges(changes: Sequence[Change]) -> str:
    """What the ranges of all changes are, and why all clubs together can show what no one of them does."""
    said = "A change is clear where zero lies outside its range; all these ranges hold at once nine times in ten."
    carries = [one for one in changes if one.what == "carry"]
    pace = any(one.what == "pace" and one.beyond_chance for one in changes)
    if pace and len(carries) > 1 and not all(one.beyond_chance for one in carries):
        said += " All clubs together show what one alone cannot, since they have more balls."
    return said


def bars(shown: str) -> str:
    """What the bar of a session holds, and what a clear change has to stand out from."""
    if shown == "gap":
        of_day = "Each bar is a 90 % range that allows for how a single club varies from day to day"
    else:
        of_day = "Each bar is a 90 % range for that day alone"
    besides = " and of weather that was not noted" if shown in ("carry", "gap") else ""
    return f"{of_day}. A clear change also has to stand out from the ups and downs of days{besides}."


def by_air(share: float, hit_in: Conditions, system: str) -> str:
    """How far a carry was brought to standard air, and to a good ball if range balls were hit."""
    by = unit("percent", system).text(share, unit=True, sign=True)
    ball = " and a good ball" if hit_in.range_ball else ""
    return f"Adjusted to standard air{ball}: {by}" if abs(share) >= 0.005 else ""


def what(change: Change, names: Mapping[str, str]) -> str:
    """What a change is of, as a table names it."""
    called = [names.get(i, i) for i in change.clubs]
    if change.what == "carry":
        return f"carry, {called[0]}"
    return f"gap, {called[0]} to {called[1]}" if change.what == "gap" else _of_all(change)


def id_of(one: Day) -> str | None:
    """The id by which a session is compared."""
    return RETEST if one.retest and one.session is None else one.session


def title(one: Day) -> str:
    """A session as a row names it."""
    return day(one.date) or ("after the build" if one.retest else "no date")
