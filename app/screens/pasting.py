"""Balls as pasted text or as a file: what was understood is shown first, and taken in only when asked to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app import bridge, edits, styles
from app.html import Safe, bullets, join, note, p, table, tag
from app.paste import MOST_TEXT, Preview, understand, understand_file
from app.state import State
from app.units import amount, unit
from app.widgets import Fold, button, html, line, put, show, stack, text_area
from engine.documents.case import Shot


class Pasting:
    """A fold with a text, a file and a preview; ``done`` is called with the club of the last ball taken in."""

    def __init__(self, state: State, done: Callable[[str], None]) -> None:
        self.state, self.done = state, done
        self.preview = Preview()
        self.fold = Fold("Paste, or open a CSV file", self._build)

    def _build(self) -> Any:
        import panel as pn

        self.text = text_area("Balls as text", "7i 139 141 138\n9i 118 121", most=MOST_TEXT)
        self.file = pn.widgets.FileInput(
            accept=".csv,.txt,.tsv,text/csv,text/plain",
            stylesheets=[styles.FIELD],
            margin=0,
            css_classes=["file"],
        )
        self.file.param.watch(self._opened, "value")
        self.seen = html()
        self.take = line(
            button("Take these balls in", self._take, cls="main"), button("Leave them", self._leave)
        )
        show(self.take, False)
        return stack(
            html(p("One line a club, or a CSV from any launch monitor: columns and units are recognised.")),
            self.text,
            line(button("Show what is understood", self._read)),
            self.seen,
            self.take,
            html(tag("b", "CSV file")),
            self.file,
        )

    def _opened(self, event: Any) -> None:
        if not event.new:
            return
        text, self.preview = understand_file(bytes(event.new), self.state.case, self.state.units)
        self.text.value = text
        self._show()

    def _read(self) -> None:
        self.preview = understand(self.text.value or "", self.state.case, self.state.units)
        self._show()

    def _show(self) -> None:
        put(self.seen, preview_words(self.preview, self.state))
        show(self.take, bool(self.preview.balls))

    def _take(self) -> None:
        balls = self.preview.balls
        if not self.state.change(lambda case: edits.add_balls(case, balls), f"{len(balls)} balls taken in"):
            return
        self._leave()
        self.done(balls[-1].club)
        bridge.announce(f"{len(balls)} balls taken in")

    def _leave(self) -> None:
        self.preview = Preview()
        self.text.value = ""
        put(self.seen, "")
        show(self.take, False)


def preview_words(preview: Preview, state: State) -> Safe:
    """What a text was understood to hold, what was assumed, and what was not understood."""
    system = state.units
    groups: dict[str, list[Shot]] = {}
    for ball in preview.balls:
        groups.setdefault(ball.club, []).append(ball)
    names = {c.id: c.name for c in state.case.bag}
    rows = [
        [
            names.get(club, club),
            len(balls),
            ", ".join(amount(b.carry_m, "carry", system, bare=True) for b in balls[:30]),
        ]
        for club, balls in groups.items()
    ]
    parts: list[Safe] = []
    if rows:
        name = unit("carry", system).name
        parts.append(
            table(
                ["Club", "Balls", f"Carries ({name})"],
                rows,
                caption="Understood so far, not yet taken in",
                words=[2],
            )
        )
    parts.append(bullets(preview.notes[:20]))
    if preview.problems:
        parts.append(note(p("Not understood:"), bullets(preview.problems[:12]), warn=True))
    if not rows and not preview.problems:
        parts.append(p("There is nothing here to read yet."))
    return join(*parts)
