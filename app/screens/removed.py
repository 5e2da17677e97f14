"""Players who were removed: kept on the device for a while, to be brought back."""

from __future__ import annotations

from typing import Any

from app.html import p
from app.phrases.say import many
from app.players import KEPT_DAYS, MOST_REMOVED, told_apart
from app.state import State
from app.widgets import Choice, Fold, Sure, button, html, line, show, stack


class RemovedPlayers:
    """A fold, there as long as there are any; ``id`` is of the one chosen."""

    def __init__(self, state: State) -> None:
        self.state, self.id = state, ""
        self.fold = Fold("Removed players", self._build, refresh=self.refresh)
        self.view = self.fold.view

    def _build(self) -> Any:
        self.pick = Choice("Removed player", self._options(), self._chosen, self._choose, listed=True)
        self.back = button("Bring back", lambda: self.state.bring_back(self._chosen()), cls="main")
        self.drop = Sure(
            "Delete them for good",
            lambda: f"Delete {many(len(self.state.store.removed), 'removed player')} for good?",
            self.state.forget_removed,
            what="delete",
            where=lambda: self.state.store.removed,
        )
        kept = f"They stay on this device for {KEPT_DAYS} days, the last {MOST_REMOVED} of them, and in no file or link."
        return stack(
            html(p(kept)),
            line(self.pick.view, self.back, cls="fields low"),
            line(self.drop.head),
            self.drop.view,
        )

    def _names(self) -> dict[str, str]:
        """By id, the one removed last first."""
        return told_apart({one.entry.id: one.entry.called for one in reversed(self.state.store.removed)})

    def _options(self) -> dict[str, str]:
        return {name: id_ for id_, name in self._names().items()}

    def _chosen(self) -> str:
        names = self._names()
        return self.id if self.id in names else next(iter(names), "")

    def _choose(self, player_id: str) -> None:
        self.id = player_id
        self.refresh()

    def refresh(self) -> None:
        names = self._names()
        show(self.view, bool(names))
        self.fold.rename(f"Removed players ({len(names)})")
        if names and self.fold.open:
            self.pick.refresh(self._options())
            label = f"Bring back {names[self._chosen()]}"
            if self.back.label != label:
                self.back.label = label
            self.drop.refresh()
