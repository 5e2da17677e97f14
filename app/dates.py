"""Today, as it is written on what is handed over."""

from __future__ import annotations

from datetime import date

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def today() -> str:
    """The day on this device, the month in letters so that nobody takes it for the day: ``3 May 2031``."""
    now = date.today()
    return f"{now.day} {MONTHS[now.month - 1]} {now.year}"
