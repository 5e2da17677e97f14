"""A copy of a player that came home: what it would bring, side by side, and what to do with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from app import bridge, copies
from app.html import Safe, h3, join, p, table
from app.phrases import copies as words
from app.phrases.say import listed, many
from app.players import Entry
from app.state import State
from app.widgets import Choice, Fold, button, classes, html, is_shown, line, put, show, stack
from engine.documents.case import Path
from engine.documents.merge import Difference, Merged

MOST_ASKED = 40  # differences
MOST_BALLS = 60
MOST_COPIES = 8  # of one player, said what each brings
MOST_NAMED = 4
NO_NEWS = "with nothing that is not here already"
NOT_ADDED = "it cannot be added to yours"
RULE = (
    "What only they changed or added is taken in. Where yours and theirs differ, yours stays, but of two notes "
    "both do; press Look first to choose otherwise."
)


class ComeHome:
    """Stands over every step as long as it is not answered."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.asked: tuple[Entry, Entry] | None = None
        self.waiting: tuple[tuple[Entry, Entry], ...] = ()
        self.choices: dict[Path, bool | str] = {}
        self.keep = True  # balls that were removed there
        self.back = False  # balls that were removed here and kept there come back
        self.found: Merged | None = None
        self.single: list[Choice] = []  # about what a build changed, where its fold was opened
        self.said, self.balls = html(), html()
        self.told, self.told_of = html(), state.store  # what was done, and the players as it left them
        self.done = stack(self.told, cls="sheet off")
        options = {"Keep them": True, "Remove them here too": False}
        self.gone = Choice("Balls that were removed there", options, lambda: self.keep, self._keep)
        options = {"Leave them out": False, "Take them back": True}
        self.come_back = Choice("Balls that you removed", options, lambda: self.back, self._take_back)
        self.which = Choice("Which copy", {}, lambda: self.asked and self.asked[0].id, self.state.ask_about)
        self.fields = stack()
        self.look = button("Look first", self._look)
        self.all = button("Add all", self._put_all)
        self.closer = stack(self.balls, self.fields, cls="off")
        self.question = stack(
            self.which.view,
            self.said,
            self.gone.view,
            self.come_back.view,
            line(
                button("Add to mine", self._put, cls="main"),
                button("Keep apart", self._apart),
                self.look,
                self.all,
            ),
            self.closer,
            cls="sheet off",
        )
        self.view = stack(self.done, self.question, cls="off")

    def refresh(self) -> None:
        show(self.done, self.state.store is self.told_of and is_shown(self.done))
        asked, waiting = self.state.copied, self.state.waiting
        show(self.view, asked is not None or is_shown(self.done))
        count = len(waiting)
        show(self.all, count > 1)
        if self.all.label != (label := f"Add {'both' if count == 2 else f'all {count}'} copies to mine"):
            self.all.label = label
        before, self.waiting = self.waiting, waiting
        if asked and self.asked and _alike((asked, *waiting), (self.asked, *before)):
            return
        goes_on = asked and self.asked and [e.id for e in asked] == [e.id for e in self.asked]
        self.asked = asked
        if goes_on:  # somebody goes on with the one here meanwhile: what was chosen stands
            self._again()
            return
        show(self.question, asked is not None)
        show(self.closer, False)
        classes(self.look, [])
        self.choices, self.keep, self.fields[:] = {}, True, []
        if asked is not None:
            self.back = asked[1].guest
            self.found = self.state.together()
            self._ask()

    def _ask(self) -> None:
        assert self.asked is not None
        other, mine = self.asked
        names = self.state.label(mine), other.name if other.name != mine.name else ""
        said = self._said(other, self.found)
        removed, back = bool(self.found and self.found.removed), bool(self.found and self.found.back)
        others = {home.id: home for _, home in self.waiting if home.id != mine.id}.values()
        also = listed([*map(self.state.label, others)][:MOST_NAMED])
        if len(others) > MOST_NAMED:
            also = many(len(others), "other player")
        refusal = self.state.refusal
        put(self.said, question(names, said, refusal, also, removed=removed or back, guest=mine.guest))
        order = {e.id: n for n, e in enumerate(self.state.store.players)}
        copies = sorted((e for e, home in self.waiting if home.id == mine.id), key=lambda e: order[e.id])
        show(self.which.view, len(copies) > 1)
        found = {e.id: self.found if e is other else self.state.together(e) for e in copies[:MOST_COPIES]}
        self.which.refresh(
            {f"{n}: {self._said(e, found.get(e.id)) or NOT_ADDED}": e.id for n, e in enumerate(copies, 1)}
        )
        show(self.gone.view, removed)
        self.gone.refresh()
        show(self.come_back.view, back)
        self.come_back.refresh()

    def _said(self, copy: Entry, found: Merged | None) -> str:
        """What a copy brings; nothing where it cannot be added."""
        assert self.asked is not None
        return (words.in_short(found, guest=self.asked[1].guest) or NO_NEWS) if found else ""

    def _keep(self, keep: bool) -> None:
        self.keep = keep

    def _take_back(self, back: bool) -> None:
        self.back = back

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
            built = words.builds(self.found)
            self.single = []
            self.fields[:] = [
                view for one in _first(self.found) for view in self._views(one, built.get(one.path, ()))
            ]

    def _look(self) -> None:
        opened = not is_shown(self.closer)
        if opened and self.asked and self.found and not len(self.fields):
            self._fill()
        classes(self.look, ["open"] if opened else [])
        show(self.closer, opened)

    def _views(self, one: Difference, parts: Sequence[Difference]) -> Iterator[Any]:
        """The choice about a difference; a build is chosen as a whole, and what came by it stands in a fold."""
        yield self._choice(one, parts).view
        if parts:
            yield Fold(f"What this build changed: {len(parts)}", lambda: self._all_of(parts)).view

    def _all_of(self, parts: Sequence[Difference]) -> Any:
        choices = [self._choice(part) for part in parts]
        self.single += choices
        return stack(*(choice.view for choice in choices))

    def _choice(self, one: Difference, parts: Sequence[Difference] = ()) -> Choice:
        assert self.asked is not None
        cases = [e.case for e in reversed(self.asked)]
        mine, theirs = (words.value(one, side, cases, self.state.units) for side in (one.mine, one.theirs))
        if parts:
            theirs = words.build(one, parts)

        def take(theirs: bool | str) -> None:
            self.choices.update((d.path, theirs) for d in (one, *parts))
            for choice in self.single if parts else ():
                choice.refresh()

        options: dict[str, bool | str] = {f"Mine: {mine}": False, f"Theirs: {theirs}": True}
        if isinstance(usual := _usual(one), str):
            options["Both, mine first"] = usual
        return Choice(
            words.where(one, cases, self.state.units),
            options,
            lambda: self.choices.get(one.path, usual),
            take,
        )

    def _chosen(self) -> tuple[dict[Path, bool | str], set[str], set[str]]:
        gone = {shot.id for shot in self.found.removed if shot.id} if self.found else set()
        seen = _first(self.found) if self.found and len(self.fields) else ()
        chosen = {one.path: _usual(one) for one in seen} | self.choices  # what was looked at is answered
        out = {*self.found.back} if self.found and not self.back else set()
        return (chosen, gone, out) if self.keep else (chosen, set(), gone | out)

    def _put(self) -> None:
        chosen = self._chosen()
        out = len(self.found.back) if self.found and not self.back else 0
        if self.state.put_together(*chosen):
            stay = (
                f" {many(out, 'ball')} that you removed {'stays' if out == 1 else 'stay'} out." if out else ""
            )
            self._tell(f"The copy was added to yours; Undo takes it out again.{stay}")

    def _put_all(self) -> None:
        left = self.state.put_all_together(*self._chosen())
        said = "The copies were added to yours; Undo takes them out again."
        self._tell(f"{said} {left} could not be added." if left else said)

    def _tell(self, words: str) -> None:
        """Say what was done where the question stood, until the next edit, and to screen readers."""
        put(self.told, p(words))
        self.told_of = self.state.store
        show(self.done, True)
        show(self.view, True)
        bridge.announce(words)

    def _apart(self) -> None:
        self.state.keep_apart()


def _first(found: Merged) -> list[Difference]:
    """The differences to choose about, a build as one: what was done first, then the clubs, those of balls last."""
    order = {part: n for n, part in enumerate(("jobs", "player", "swing", "bag"))}
    last = {"shots": len(order) + 1, "retest": len(order) + 1}
    apart = {d.path for d in _parts(found)}
    return sorted(
        (d for d in found.differences if d.path not in apart),
        key=lambda d: (order | last).get(str(d.path[0]), len(order)),
    )[:MOST_ASKED]


def _parts(found: Merged) -> list[Difference]:
    return [one for parts in words.builds(found).values() for one in parts]


def _usual(one: Difference) -> bool | str:
    """What becomes of a difference that nobody chooses about."""
    note = copies.noted(one)
    return one.taken if note is None else note


def _alike(some: tuple[tuple[Entry, Entry], ...], others: tuple[tuple[Entry, Entry], ...]) -> bool:
    """Whether these are the very same copies and players."""
    return len(some) == len(others) and all(
        a is c and b is d for (a, b), (c, d) in zip(some, others, strict=True)
    )


def question(
    names: tuple[str, str], said: str, refusal: str, also: str, *, removed: bool = False, guest: bool = False
) -> Safe:
    """What came, and that nothing has been done with it yet.

    names : of the player, and in the copy if another there; also : of whom else copies wait; removed : whether balls were
    removed on either side; guest : whether this player was sent here, and now once more
    """
    name, there = names
    there = f" (there \u201c{there}\u201d)" if there else ""
    which = (
        f"\u201c{name}\u201d{there} was sent to you again"
        if guest
        else f"Another copy of \u201c{name}\u201d{there} has come back"
    )
    wait = p(f"Copies of {also} are waiting too.") if also else ""
    if not said:
        return join(p(f"{which}, but {NOT_ADDED}."), p(refusal), wait)
    return join(
        p(f"{which} {said}."),
        p(
            "Below you see yours, and what you type goes into it; nothing of what came is in it yet. "
            f"Add to mine keeps every ball of both{', but for those you choose to leave out' if removed else ''}. ",
            RULE,
        ),
        wait,
    )


def balls(found: Merged, asked: tuple[Entry, Entry], system: str) -> Safe:
    """The balls that would come in and go."""
    parts: list[Any] = []
    new, back = ([s for s in found.added if (s.id in found.back) == so] for so in (False, True))
    for title, shots in (
        ("New balls", new),
        ("Balls that you removed and they kept", back),
        ("Balls removed there", found.removed),
    ):
        guest = asked[1].guest
        rows = [
            [words.ball(s, found.case, system), words.session(s, found.case), words.added(s, guest=guest)]
            for s in shots[:MOST_BALLS]
        ]
        if rows:
            told = ["Ball", "Session", "Added"]
            parts.append(table(told, rows, caption=f"{title} ({len(shots)})", words=range(len(told))))
    if found.differences:
        parts += [h3("What differs"), p("Add to mine puts in what is chosen here.")]
    if (more := len(found.differences) - len(_parts(found)) - MOST_ASKED) > 0:
        parts.append(
            p(f"{more} more differ and are not shown; of these, yours stays unless only they changed it.")
        )
    return join(*parts)
