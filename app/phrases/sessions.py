"""Sessions by name, and what is said of them."""

from __future__ import annotations

from collections.abc import Sequence

from app.dates import day as full_day
from app.dates import iso_today
from app.phrases.lines import wind_words
from app.phrases.say import listed, many
from app.sessions import UNDATED, is_day
from app.units import amount
from engine.documents.case import Case, Conditions, Session
from engine.physics.air import REFERENCE
from engine.swing.sessions import in_air_of_day, weather_noted

MOST_PLACE = 24  # characters of a place in the name of a session
OLD = "These balls have no date and count as one earlier session. If you know the day, write it below."
SOME_OLD = (
    "Balls without a date count as one earlier session. If you know the day, choose that session below."
)


def day(iso: str) -> str:
    """``29 Nov``; with the year where it is another one."""
    if not is_day(iso):
        return iso
    number, month, year = full_day(iso).split()
    return f"{number}\u00a0{month}" + ("" if year == iso_today()[:4] else f" {year}")


def shortened(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) <= MOST_PLACE else f"{text[: MOST_PLACE - 1]}\u2026"


def called(session: Session) -> str:
    """``Today, 29 Nov``, ``20 Oct, North range``."""
    if session.id == UNDATED:
        return "Earlier balls, no date"
    today = session.date == iso_today()
    when = f"{'Today, ' * today}{day(session.date)}" if session.date else ""
    what = shortened(session.place or ("" if session.date else session.note))
    return ", ".join(filter(None, (when, what))) or "No date"


def goes_into(session: Session, *, here: bool) -> str:
    """Into which session the next balls go, beside one that is looked at: ``here`` if it is that one."""
    if session.date == iso_today():
        return (
            "The balls you add today go into this session."
            if here
            else "The balls you add go into today\u2019s session, not into this one."
        )
    return (
        f"The balls you add go into the session of {day(session.date)}."
        if session.date
        else ("The balls you add go into this session.")
    )


def to_delete(session: Session, balls: int) -> str:
    if session.id == UNDATED:
        return f"Delete the {many(balls, 'ball')} without a date?"
    which = f"the session {called(session)}" if session.date else "this session"
    return f"Delete {which} and its {many(balls, 'ball')}?" if balls else f"Delete {which}?"


def names(case: Case, sessions: dict[str, Session], balls: dict[str, int]) -> dict[str, str]:
    """Keys of sessions by their names with the number of balls, told apart where two are alike."""
    out: dict[str, str] = {}
    for key, session in sessions.items():
        name = f"{called(session)}: {many(balls.get(key, 0), 'ball')}"
        while name in out:
            name += "\u00a0"
        out[name] = key
    return out


def air(conditions: Conditions, system: str) -> str:
    """What of the conditions is out of the ordinary: ``indoors``, ``5 °C, headwind of 3.0 m/s``."""
    if conditions.indoors:
        return "indoors"
    said = []
    for name, quantity, words in (("temperature_c", "temperature", ""), ("altitude_m", "height", "up ")):
        value = getattr(conditions, name)
        if value != getattr(REFERENCE, name):
            said.append(words + amount(value, quantity, system))
    if conditions.wind_mps > 0:
        said.append(wind_words(conditions, system).removeprefix("a "))
    if not said and conditions.noted:
        return f"{amount(REFERENCE.temperature_c, 'temperature', system)}, no wind"
    return ", ".join(said)


def not_noted(case: Case, session: Session, conditions: Conditions, system: str) -> str:
    """That no weather was noted, and what that means for the card; nothing of today's first session, which is still going
    on."""
    if weather_noted(conditions) or (in_air_of_day(case) and session.date == iso_today()):
        return ""
    if in_air_of_day(case) and case.wants.air is None:
        does = "the carries on the card hold in the air of that day."
    else:
        warm = amount(REFERENCE.temperature_c, "temperature", system)
        less = "" if in_air_of_day(case) else " and count for less beside other sessions"
        does = f"its balls are taken as hit in standard air ({warm}, sea level, no wind){less}."
    return f"No weather was noted for this session: {does} If you know the weather, write it below."


def head(session: Session, conditions: Conditions, system: str, *, earlier: int, others: int) -> str:
    """The line that opens the session: its name, and what is told of it in short."""
    more = [air(conditions, system)] if air(conditions, system) else []
    if not more and not session.place:
        more.append("weather" if others else "weather and place")
    if others:
        more.append(many(others, "earlier session" if earlier == others else "other session"))
    return ": ".join(filter(None, (called(session), ", ".join(more))))


def found(days: Sequence[str], case: Case, *, new: bool = True) -> str:
    """The sessions of a text, such as ``3 sessions: 12 Oct, 20 Oct, 3 Nov``, and which are here, if balls are new."""
    told = sorted(set(filter(None, days)))
    if not told:
        return ""
    here = [day(d) for d in told if any(d in (one.date, one.note) for one in case.sessions)]
    also = (
        f" Already here: {listed(here)}; new balls are added to {'it' if len(here) == 1 else 'them'}."
        if here and new
        else ""
    )
    return f"{many(len(told), 'session')}: {', '.join(map(day, told))}.{also}"


def added(days: Sequence[str], undated: Session | None) -> str:
    """``36 balls added: 12 Oct, 20 Oct``; ``undated`` is the session of balls without a day, unless it is a new one."""
    told = [day(d) for d in sorted(set(filter(None, days)))]
    if "" in days:
        told.append("no date" if undated is None else _when(undated))
    return f"{many(len(days), 'ball')} added: {', '.join(told)}."


def _when(session: Session) -> str:
    return "today" if session.date == iso_today() else called(session)


def again(count: int, of: int) -> str:
    """That balls of a text are here."""
    if count == of:
        return "All of these balls are here already." if of > 1 else "This ball is here already."
    return f"{count} of these {of} balls {'is' if count == 1 else 'are'} here already."


def only_new(count: int) -> str:
    return f"Add only the {count} new balls" if count > 1 else "Add only the new ball"


def all_again(count: int) -> str:
    return f"Add all {count} balls, also those here" if count > 1 else "Add it once more"
