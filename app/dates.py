"""Days as they are written for people, and today."""

from __future__ import annotations

from datetime import date, datetime

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(iso: str | None) -> str:
    """A day of a document, the month in letters so that nobody takes it for the day: ``3 May 2031``."""
    try:
        found = date.fromisoformat(iso or "")
    except ValueError:
        return ""
    return f"{found.day} {MONTHS[found.month - 1]} {found.year}"


def today() -> str:
    """The day on this device, the month in letters so that nobody takes it for the day: ``3 May 2031``."""
    return day(date.today().isoformat())


def iso_today() -> str:
    """The day on this device as documents have it: ``2031-05-03``."""
    return date.today().isoformat()


def now() -> str:
    """This second on this device's clock: ``2031-05-03T14:22:05``."""
    return datetime.now().isoformat(timespec="seconds")


def other_day(iso: str | None) -> str:
    """A day of a document as it is written, or nothing if it is today or no day."""
    return "" if iso == iso_today() else day(iso)
