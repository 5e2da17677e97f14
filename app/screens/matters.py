"""What matters to this player, and which lofts the sets are compared with: settings under the verdict."""

from __future__ import annotations

from typing import Any

import panel as pn

from app import edits, styles
from app.html import note, p, tag
from app.state import State
from app.units import amount
from app.widgets import Choice, Fold, html, put, stack
from engine.documents.fields import LOFTS, MOST_MATTERS

MATTERS = {
    "Carry at the top": "top_carry",
    "Even gaps": "gaps",
    "Posture": "posture",
    "Cost": "cost",
    "Feel": "feel",
}
LOFT_CHOICES = dict(zip(("As they stand", "Bent for even gaps"), LOFTS, strict=True))
ASKED = {"gap": "Bent for the wanted gap", "carries": "Bent for the carries asked for"}


class WhatMatters:
    """A fold with both settings; what was tapped first comes first."""

    def __init__(self, state: State) -> None:
        self.state, self._quiet = state, False
        self.fold = Fold("What matters to you", self._build, refresh=self.refresh)
        self.view = self.fold.view

    def _build(self) -> Any:
        self.chips = pn.widgets.CheckButtonGroup(
            label="What matters most",
            options=MATTERS,
            value=list(self._chosen),
            stylesheets=[styles.CHIPS],
            margin=0,
            css_classes=["group"],
        )
        self.chips.param.watch(self._taken, "value")
        self.order = html()
        self.dropped = html()
        self.lofts = Choice("Lofts of all sets", self._loft_choices(), self._lofts, self._set_lofts)
        return stack(
            html(tag("b", "What matters most")),
            self.chips,
            self.order,
            self.lofts.view,
            self.dropped,
            html(
                p(
                    "Bent lofts stay within what each head allows. Every set here is compared, built and played with them; "
                    "only what is in the bag now is played as it is.",
                    cls="small",
                )
            ),
        )

    @property
    def _chosen(self) -> tuple[str, ...]:
        return self.state.shown.wants.matters

    def _taken(self, event: Any) -> None:
        if self._quiet:
            return
        stay = [m for m in self._chosen if m in event.new]
        wanted = (*stay, *(m for m in event.new if m not in stay))[:MOST_MATTERS]
        if wanted != self._chosen:
            self.state.change(lambda case: edits.wants("matters")(case, wanted), "what matters most changed")
        self.refresh()

    def _loft_choices(self) -> dict[str, str]:
        """As they stand, or bent; for a gap or carries only where they are asked for."""
        now = self._lofts()
        return LOFT_CHOICES | ({ASKED[now]: now} if now in ASKED else {})

    def _lofts(self) -> str:
        wants = self.state.shown.wants
        if wants.carries:
            return "carries"
        return "gap" if wants.gap_m is not None else wants.lofts or LOFTS[0]

    def _set_lofts(self, value: str) -> None:
        if value in ASKED:
            return
        gap = self.state.shown.wants.gap_m
        self.state.change(lambda case: edits.lofts(case, value), "lofts of all sets changed")
        if gap is not None and self.state.shown.wants.gap_m is None:
            size = amount(gap, "gap", self.state.units)
            put(
                self.dropped,
                note(
                    p(
                        f"The gap of {size} is no longer asked for. Undo or \u201cAlso adjust\u201d brings it back."
                    )
                ),
            )

    def refresh(self) -> None:
        if not self.fold.open:
            return
        self._quiet = True
        try:
            if list(self.chips.value) != list(self._chosen):
                self.chips.value = list(self._chosen)
        finally:
            self._quiet = False
        names = {value: name for name, value in MATTERS.items()}
        said = ", ".join(names[m].lower() for m in self._chosen)
        full = f" That is all {MOST_MATTERS}." if len(self._chosen) == MOST_MATTERS else ""
        put(
            self.order,
            p(
                f"Shown first: {said}.{full}"
                if said
                else "Tap up to four, most important first. The order changes, the figures do not.",
                cls="small",
            ),
        )
        self.lofts.refresh(self._loft_choices())
        if self._lofts() in ASKED:
            put(self.dropped, "")
