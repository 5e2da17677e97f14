"""The dashboard as a whole: header, five steps, notices; made once for a document."""

from __future__ import annotations

from typing import Any

import panel as pn

from app import bridge, look
from app.markup import bullets, join, note, p, tag
from app.parts import button, classes, html, line, put, show, stack
from app.screens.hit import Hit
from app.screens.layout import LayOut
from app.screens.measure import Measure
from app.state import State


class Page:
    """Header, step bar and the five screens of one document."""

    def __init__(self, boot: dict[str, Any]) -> None:
        saved = boot.get("saved")
        self.state = State(
            saved=saved if isinstance(saved, str) else None, fragment=str(boot.get("hash") or "")
        )
        self.screens = [screen(self.state, self.go) for screen in SCREENS]
        self.here = self.screens[0]
        self.name = html()
        self.undo = button("Undo", self.state.undo)
        self.notices = html()
        self.shut = button("Understood", self._shut)
        self.notice_box = stack(self.notices, line(self.shut), cls="sheet")
        self.buttons = [
            button(f"{n} {s.title}", lambda s=s: self.go(s.id), cls="step")
            for n, s in enumerate(self.screens, 1)
        ]
        self.steps = pn.Row(*self.buttons, stylesheets=[look.STEPS], css_classes=["steps"], margin=0)
        self.view = pn.Column(
            self.steps,
            stack(
                line(self.name, self.undo, cls="nowrap head"),
                self.notice_box,
                *[s.view for s in self.screens],
            ),
            stylesheets=[look.PAGE],
            css_classes=["page"],
            margin=0,
        )
        self.state.listen(self.refresh)
        bridge.listen("flush", lambda payload: self.state.flush())
        bridge.listen("hash", lambda payload: self.state.open_link(str(payload.get("hash") or "")))
        first = "layout" if boot.get("hash") and self.state.case.shots else "measure"
        self.go(first)

    def go(self, step: str) -> None:
        """Show one step and hide the others."""
        there = next((s for s in self.screens if s.id == step), self.screens[0])
        for screen in self.screens:
            if screen is not there:
                screen.leave()
        self.here = there
        there.enter()
        for screen, item in zip(self.screens, self.buttons, strict=True):
            classes(item, ["step", "here"] if screen is there else ["step"])
        self.refresh()
        bridge.step(there.id)

    def refresh(self) -> None:
        """Bring what is visible up to date."""
        state = self.state
        put(self.name, join(tag("h1", "Fettle"), p(state.store.entry.name, cls="faint")))
        show(self.undo, bool(state.undo_what))
        put(
            self.notices,
            note(p("Please note"), bullets(state.notices[:8]), warn=True) if state.notices else "",
        )
        show(self.notice_box, bool(state.notices))
        self.here.refresh_if_changed()

    def _shut(self) -> None:
        self.state.notices.clear()
        self.refresh()


SCREENS = (Measure, Hit, LayOut)


def make_document(boot: dict[str, Any]) -> list[Any]:
    """The roots of the dashboard.

    Parameters
    ----------
    boot : ``hash``, the address' fragment or empty; ``saved``, the text last given to `bridge.save`, or ``None``
    """
    bridge.forget()
    page = Page(boot if isinstance(boot, dict) else {})
    return [page.view]
