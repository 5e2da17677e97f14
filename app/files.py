"""Text for files: CSV that no spreadsheet takes for a formula, and file names that any system takes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

_NUMBER = re.compile(r"^[+\-]?\d+(\.\d+)?$")
_DANGER = ("=", "+", "-", "@", "\t", "\r", "\n")


def csv_cell(value: object) -> str:
    """One cell, quoted as RFC 4180 asks; text that a spreadsheet would run is defused with an apostrophe."""
    text = "" if value is None else str(value).replace("\u2212", "-").replace("\u00a0", " ")
    if text.startswith(_DANGER) and not _NUMBER.match(text):
        text = "'" + text
    if any(ch in text for ch in '",\n\r'):
        text = '"' + text.replace('"', '""') + '"'
    return text


def csv_text(head: Sequence[object], rows: Iterable[Sequence[object]]) -> str:
    """A whole table, with the line ends of RFC 4180."""
    return "".join(",".join(csv_cell(cell) for cell in row) + "\r\n" for row in (head, *rows))


def file_name(name: str, ending: str) -> str:
    """A name of letters, digits and hyphens made of a player's name."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower()[:60]
    return f"fettle-{plain or 'player'}.{ending}"
