"""Text for files: CSV that no spreadsheet takes for a formula."""

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


def csv_row(cells: Sequence[object]) -> str:
    """One row with the line end of RFC 4180."""
    return ",".join(csv_cell(cell) for cell in cells) + "\r\n"


def csv_text(head: Sequence[object], rows: Iterable[Sequence[object]]) -> str:
    """A whole table."""
    return "".join(csv_row(row) for row in (head, *rows))
