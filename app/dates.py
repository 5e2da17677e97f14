"""Today, as it is written on what is handed over."""

from __future__ import annotations

from datetime import date

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def today() -> str:
    """The day on this device, the month in letters so that nobody takes it for the day: ``3 May 2031``."""
    return _written(date.today())


def iso_today() -> str:
    """The day on this device as documents have it: ``2031-05-03``."""
    return date.today().isoformat()


def other_day(iso: str | None) -> str:
    """A day of a document as it is written, or nothing if it is today or no day."""
    try:
        day = date.fromisoformat(iso or "")
    except ValueError:
        return ""
    return "" if day == date.today() else _written(day)


def _written(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
