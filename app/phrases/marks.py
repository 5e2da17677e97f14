"""The one mark of what nobody has hit yet, and what it means."""

from __future__ import annotations

from engine.fitting.fitting import Fitting

NOT_HIT = "* Not hit yet: predicted from other balls."
CHANGED = "* Not hit yet as it is in this set: predicted from other balls."
NO_BALLS = "Nobody has hit a ball yet: these are estimates from the player\u2019s measures."
NO_FULL = "Nobody has hit a full swing yet: full swings are estimates from the player\u2019s measures."


class Marks:
    """Marks what is said of a club with a swing that nobody has hit: its carry, or its name where no carry stands.

    Where no full swing was hit with any club, none is marked: `nobody` says it of all.
    """

    def __init__(self, fitting: Fitting, *, to_build: bool = False) -> None:
        """``to_build``: whether it is said of the set to build, which may be what is left of an order."""
        self.fitting, self.given, self.changed = fitting, False, False
        self.to_come = fitting.to_come if to_build else frozenset()

    def __call__(self, words: str, club_id: str, size_id: str | None = None) -> str:
        to_come = club_id in self.to_come
        if (self.fitting.was_hit(club_id, size_id) and not to_come) or (size_id is None and self.nobody):
            return words
        self.given = True
        self.changed |= to_come or (size_id is None and club_id in self.fitting.changed_since)
        return f"{words}*"

    @property
    def nobody(self) -> str:
        """That no full swing counts, so that every carry of one is an estimate; empty where one does."""
        if self.fitting.clubs_hit:
            return ""
        return NO_FULL if any(shot.use for shot in self.fitting.case.shots) else NO_BALLS

    @property
    def legend(self) -> str:
        """What the mark means; empty where none was given."""
        return (CHANGED if self.changed else NOT_HIT) if self.given else ""
