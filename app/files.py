"""Names for files that any system takes."""

from __future__ import annotations

import re


def file_name(name: str, ending: str) -> str:
    """A name of letters, digits and hyphens made of a player's name."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower()[:60]
    return f"fettle-{plain or 'player'}.{ending}"
