"""A copy of a player that came home: what it would bring, side by side, and what to do with it."""

from __future__ import annotations

from typing import Any

from app import bridge
from app.html import Safe, h3, join, p, table
from app.phrases import copies as words
from app.players import Entry
from app.state import State
from app.widgets import Choice, button, classes, html, is_shown, line, put, show, stack
from engine.documents.case import Path
from engine.documents.merge import Merged

MOST_ASKED = 40  # differences
MOST_BALLS = 60
RULE = (
    "What only they changed or added is taken from them; of the rest yours stays, unless you choose otherwise under "
    "Look first."
)


class ComeHome:
    """Stands over every step as long as it is not answered."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.asked: tuple[Entry, Entry] | None = None
        self.choices: dict[Path, bool] = {}
        self.keep = True  # balls that were removed there
        self.found: Merged | None = None
        self.said, self.balls = html(), html()
        options = {"Keep them": True, "Remove them here too": False}
        self.gone = Choice("Balls that were removed there", options, lambda: self.keep, self._keep)
        self.fields = stack()
        self.look = button("Look first", self._look)
        self.all = button("Add all", self._put_all)
        self.closer = stack(self.balls, self.fields, cls="off")
        self.view = stack(
            self.said,
            self.gone.view,
            line(
                button("Add to mine", self._put, cls="main"),
                button("Keep apart", self._apart),
                self.look,
                self.all,
            ),
            self.closer,
            cls="sheet off",
        )

    def refresh(self) -> None:
        asked = self.state.copied
        waiting = len(self.state.waiting)
        show(self.all, waiting > 1)
        if self.all.label != (label := f"Add {'both' if waiting == 2 else f'all {waiting}'} copies to mine"):
            self.all.label = label
        if asked and self.asked and all(a is b for a, b in zip(asked, self.asked, strict=True)):
            return
        goes_on = asked and self.asked and [e.id for e in asked] == [e.id for e in self.asked]
        self.asked = asked
        if goes_on:  # somebody goes on with the one here meanwhile: what was chosen stands
            self._again()
            return
        show(self.view, asked is not None)
        show(self.closer, False)
        classes(self.look, [])
        self.choices, self.keep, self.fields[:] = {}, True, []
        if asked is not None:
            self.found = self.state.together()
            self._ask()

    def _ask(self) -> None:
        assert self.asked is not None
        other, mine = self.asked
        name, there = self.state.label(mine), other.name if other.name != mine.name else ""
        said = words.in_short(self.found, guest=mine.guest) if self.found else ""
        removed = bool(self.found and self.found.removed)
        put(self.said, question(name, there, said, self.state.refusal, removed=removed))
        show(self.gone.view, removed)
        self.gone.refresh()

    def _keep(self, keep: bool) -> None:
        self.keep = keep

    def _again(self) -> None:
        assert self.asked is not None
        before, self.found = self.found, self.state.together()
        self._ask()
        if len(self.fields) and self.found and before:
            self._fill(anew=self.found.differences != before.differences)

    def _fill(self, *, anew: bool = True) -> None:
        assert self.asked and self.found
        put(self.balls, balls(self.found, self.asked, self.state.units))
        if anew:
            self.fields[:] = map(self._choice, self.found.differences[:MOST_ASKED])

    def _look(self) -> None:
        opened = not is_shown(self.closer)
        if opened and self.asked and self.found and not len(self.fields):
            self._fill()
        classes(self.look, ["open"] if opened else [])
        show(self.closer, opened)

    def _choice(self, one: Any) -> Any:
        assert self.asked is not None
        cases = [e.case for e in reversed(self.asked)]
        mine, theirs = (words.value(one, side, cases, self.state.units) for side in (one.mine, one.theirs))

        def take(theirs: bool) -> None:
            self.choices[one.path] = theirs

        return Choice(
            words.where(one, cases, self.state.units),
            {f"Mine: {mine}": False, f"Theirs: {theirs}": True},
            lambda: self.choices.get(one.path, one.taken),
            take,
        ).view

    def _chosen(self) -> tuple[dict[Path, bool], set[str], set[str]]:
        gone = {shot.id for shot in self.found.removed if shot.id} if self.found else set()
        seen = self.found.differences[:MOST_ASKED] if self.found and len(self.fields) else ()
        chosen = {one.path: one.taken for one in seen} | self.choices  # what was looked at is answered
        return (chosen, gone, set()) if self.keep else (chosen, set(), gone)

    def _put(self) -> None:
        if self.state.put_together(*self._chosen()):
            bridge.announce("The copy was added to yours; Undo takes it out again")

    def _put_all(self) -> None:
        left = self.state.put_all_together(*self._chosen())
        said = "The copies were added to yours; Undo takes them out again"
        bridge.announce(f"{said}. {left} could not be added" if left else said)

    def _apart(self) -> None:
        self.state.keep_apart()


def question(name: str, there: str, said: str, refusal: str, *, removed: bool = False) -> Safe:
    """What came, and that nothing has been done with it yet; ``there`` is the player's name in the copy, if another."""
    which = f"Another copy of \u201c{name}\u201d" + (f" (there \u201c{there}\u201d)" if there else "")
    if not said:
        return join(p(f"{which} has come back, but it cannot be added to yours."), p(refusal))
    return join(
        p(f"{which} has come back {said}."),
        p(
            "Yours is what you see below, and what you type goes into it; nothing of the copy is in it yet. "
            f"Add to mine keeps every ball of both{', but for those you remove' if removed else ''}. ",
            RULE,
        ),
    )


def balls(found: Merged, asked: tuple[Entry, Entry], system: str) -> Safe:
    """The balls that would come in and go."""
    parts: list[Any] = []
    for title, shots in (("New balls", found.added), ("Balls removed there", found.removed)):
        guest = asked[1].guest
        rows = [
            [words.ball(s, found.case, system), words.session(s, found.case), words.added(s, guest=guest)]
            for s in shots[:MOST_BALLS]
        ]
        if rows:
            parts.append(table(["Ball", "Session", "Added"], rows, caption=f"{title} ({len(shots)})"))
    if found.differences:
        parts += [
            h3("What differs"),
            p(RULE),
        ]
    if (more := len(found.differences) - MOST_ASKED) > 0:
        parts.append(
            p(f"{more} more differ and are not shown; of these, yours stays unless only they changed it.")
        )
    return join(*parts)
