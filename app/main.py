"""The dashboard as a whole: header, five steps, notices; made once for a document."""

from __future__ import annotations

from functools import partial
from typing import Any

import panel as pn

from app import bridge, styles
from app.copies import changed_here, not_sent
from app.html import Safe, bullets, join, note, p, tag
from app.phrases.say import listed, many
from app.players import Entry
from app.screens.build import Build
from app.screens.come_home import ComeHome
from app.screens.hit import Hit
from app.screens.layout import LayOut
from app.screens.measure import Measure
from app.screens.methods import Methods
from app.screens.play import Play, card_at_hand
from app.screens.players import Players, link_to_send
from app.screens.tryout import trying_bar
from app.sessions import clubs_hit, counts
from app.state import State
from app.widgets import Screen, button, classes, html, is_shown, line, put, show, stack

BALL = "ball"  # entered in a page that died: text, units, what was chosen for it, the player, and what else was measured
INCLUDE = (
    "To send your notes too, share the link from Menu, Players, share, files, where you can include them."
)
NOTES_OUT = "The link leaves out your notes"
MOST_UNDO_WORDS = 30  # characters


class Page:
    """Header, step bar and the five screens of one document."""

    def __init__(self, boot: dict[str, Any]) -> None:
        saved = boot.get("saved")
        self.state = State(
            saved=saved if isinstance(saved, str) else None,
            fragment=str(boot.get("hash") or ""),
            owner=str(boot.get("owner") or ""),
        )
        self.state.address = str(boot.get("address") or "")
        self.screens: list[Screen] = [screen(self.state, self.go) for screen in (*STEPS, *PLACES)]
        self.state.card = partial(card_at_hand, self.state)
        self.here = self.screens[0]
        self.told = ""  # who is open, as the page was told
        self.name = html()
        self.undo = button("Undo", self._undo, cls="undo")
        self.undone: tuple[Any, str] = (None, "")  # the store as the last undo left it, and what was undone
        self.more = button("Menu", self._menu, cls="menu")
        self.menu = line(
            button("Players, share, files", lambda: self.go("players"), cls="to-players"),
            button("Methods and settings", lambda: self.go("methods"), cls="to-methods"),
            cls="off",
        )
        self.asked = html()
        self.question = stack(
            self.asked,
            line(
                button("Stay with the linked player", self.state.stay, cls="main"),
                button("Back to mine, keep both", partial(self.state.go_back, drop=False)),
                button("Back to mine, remove the linked one", partial(self.state.go_back, drop=True)),
            ),
            cls="sheet off",
        )
        self.home = ComeHome(self.state)
        self.sent: tuple[str, tuple[str, ...]] = ("", ())  # back: who, and what the link leaves out
        self.sent_words = html()
        self.back = stack(
            self.sent_words, line(button("Send it back", self._send_back, cls="main")), cls="sheet off"
        )
        self.notices = html()
        self.shut = button("OK", self._shut)
        self.trying = trying_bar(self.state)
        self.notice_box = stack(self.notices, line(self.shut), cls="sheet")
        self.buttons = [
            button(f"{n}\n{s.title}", partial(self.go, s.id), cls=f"step to-{s.id}")
            for n, s in enumerate(self.screens[: len(STEPS)], 1)
        ]
        self.steps = pn.Row(*self.buttons, stylesheets=[styles.STEP_BAR], css_classes=["steps"], margin=0)
        self.view = pn.Column(
            self.steps,
            stack(
                line(self.name, self.undo, self.more, cls="nowrap head"),
                self.menu,
                self.question,
                self.home.view,
                self.notice_box,
                self.trying,
                self.back,
                *[s.view for s in self.screens],
                cls="content",
            ),
            stylesheets=[styles.PAGE],
            css_classes=["page"],
            margin=0,
        )
        self.state.listen(self.refresh)
        bridge.listen("flush", lambda payload: self.state.flush())
        bridge.listen("hash", self._hash)
        bridge.listen("take", self._take)
        bridge.listen("begin", self._begin)
        bridge.listen("undo", self._undo_done)
        bridge.listen("started", self._started)
        bridge.listen("early", self._early)
        bridge.listen("go", lambda payload: self.go(str(payload.get("step") or ""), back=True))
        self._open(bool(boot.get("hash")))

    def _begin(self, payload: dict[str, Any]) -> None:
        """What this person has comes to a dashboard that was made blank."""
        saved, fragment = payload.get("saved"), str(payload.get("hash") or "")
        self.state.begin(saved if isinstance(saved, str) else None, fragment, str(payload.get("owner") or ""))
        self._open(bool(fragment))

    def _hash(self, payload: dict[str, Any]) -> None:
        """A link was opened in this page: what is asked about it stands at the top."""
        before = self.state.question
        self.state.open_link(str(payload.get("hash") or ""), owner=str(payload.get("owner") or ""))
        if self.state.question not in (None, before):
            copy = self.state.copied
            came = "was sent to you again" if copy and copy[1].guest else "has come back in another copy"
            bridge.announce(
                f"This player {came}. Yours stays open; choose what to do with what came."
                if copy
                else "A link was opened. Your own player is kept; choose which one to carry on with."
            )
            bridge.step(self.here.id)

    def _started(self, payload: dict[str, Any]) -> None:
        self.state.started = str(payload.get("how") or "")
        bridge.show_player(self.state.store.open)
        self.state.show_glance()

    def _early(self, payload: dict[str, Any]) -> None:
        """What was typed before the dashboard was there, or in a page that died, goes where it would have been, once."""
        page, entries = str(payload.get("id") or ""), payload.get("entries") or ()
        measure, hit = self.screens[0], self.screens[1]
        assert isinstance(measure, Measure) and isinstance(hit, Hit)
        measure.prepare()
        if any(kind in ("carry", "club", BALL) for kind, *_ in entries):
            hit.prepare()
        back: list[str] = []
        with self.state.gathered():
            if any(kind != BALL for kind, *_ in entries):
                self.state.early_for(page, str(payload.get("player") or ""), str(payload.get("after") or ""))
            for number, (kind, text, *more) in enumerate(entries, int(payload.get("first") or 0)):
                if kind == BALL and len(more) >= 6:
                    self.state.early_for(page, str(more[5]))
                taken = self.state.early_taken(page, number)
                if kind == "club":  # chosen anew by a dashboard that did not live to show it
                    hit.early_club(str(text))
                if taken or kind == "club":
                    continue
                units, *club = map(str, more or [text])
                measure.early("units", units)  # those it was typed in
                if kind == BALL:
                    if words := hit.put_back(str(text), club[:4], club[5:]):
                        back.append(words)
                elif kind == "carry":
                    hit.early(str(text), *club)
                else:
                    measure.early(str(kind), str(text))
        if back:
            self.state.notices.append(
                f"Fettle was closed before the last of what you typed was saved. It has been put back: {listed(back)}."
            )
        self.refresh()

    def _open(self, linked: bool) -> None:
        step = "play" if self.state.sent_here else "layout"
        self.go(step if linked and self.state.case.shots else "measure")

    def _send_back(self) -> None:
        made = link_to_send(self.state)
        bridge.share(self.state.store.entry.name, made.hash)
        self.sent = self.state.store.open, made.notes
        self.refresh()

    def go(self, step: str, *, back: bool = False) -> None:
        """Show one step and hide the others; ``back`` if the page asked for it."""
        there = next((s for s in self.screens if s.id == step), self.screens[0])
        for screen in self.screens:
            if screen is not there:
                screen.leave()
        self.here = there
        self.state.step = there.id
        if is_shown(self.menu):
            self._menu()
        for screen, item in zip(self.screens, self.buttons, strict=False):
            classes(item, ["step", f"to-{screen.id}", *(["here"] if screen is there else [])])
        there.enter()
        bridge.step(there.id, back=back)
        there.fill()  # the page has shown the step by now, however long this takes
        self.refresh()

    def _undo(self) -> None:
        """Undo on the step where the edit was made, and say what it was."""
        before, what, where = self.state.case, self.state.undo_what, self.state.undo_step
        if not what:
            return
        self.state.undo()
        if where and where != self.here.id:
            self.go(where)
        self.here.undone(before)
        self.undone = (self.state.store, what)
        self.refresh()

    def _undo_done(self, payload: dict[str, Any]) -> None:
        """Undo what was told over the page, unless something else was done since."""
        if self.state.done_stands:
            self._undo()

    def refresh(self) -> None:
        """Bring what is visible up to date."""
        state = self.state
        if self.told != state.store.open:
            bridge.show_player(state.store.open)
            self.told = state.store.open
        undone = self.undone[1] if self.undone[0] is state.store else ""
        put(
            self.name,
            join(
                tag("h1", "Fettle"),
                p(state.label(state.store.entry), cls="who"),
                p(f"Undone: {undone}", cls="who") if undone else "",
            ),
        )
        show(self.undo, bool(state.undo_what))
        what = state.undo_what
        label = f"Undo\n{what if len(what) <= MOST_UNDO_WORDS else what[: MOST_UNDO_WORDS - 1] + chr(0x2026)}"
        if self.undo.label != label:
            self.undo.label = label
        asked = None if state.copied else state.question
        put(self.asked, question(*asked) if asked else "")
        show(self.question, asked is not None)
        self.home.refresh()
        put(
            self.notices,
            note(p("Please note"), bullets(state.notices[:8]), warn=True) if state.notices else "",
        )
        show(self.notice_box, bool(state.notices))
        back = self.here.id in SENT_ON and state.sent_here
        who, said = self.sent
        put(
            self.sent_words,
            sent_here(state.store.entry, said if who == state.store.open else ()) if back else "",
        )
        show(self.back, back)
        show(self.trying, state.trying and self.here.id in TRIED_ON)
        self.here.refresh_if_changed()

    def _menu(self) -> None:
        opened = not is_shown(self.menu)
        show(self.menu, opened)
        classes(self.more, ["menu", "open"] if opened else ["menu"])

    def _take(self, payload: dict[str, Any]) -> None:
        text = str(payload.get("text") or "")
        self.state.notices.append(self.state.take_file(text))
        bridge.taken(payload.get("reply"), self.state.holds(text))
        self.refresh()

    def _shut(self) -> None:
        self.state.notices.clear()
        self.refresh()


def sent_here(entry: Entry, notes: tuple[str, ...]) -> Safe:
    """What a student finds who has opened a coach's link, and what is to be done with it."""
    own = [many(balls, "ball")] if (balls := not_sent(entry)) else []
    own += ["what you changed"] if changed_here(entry) else []
    what = f"\u201c{entry.name}\u201d was sent to you."
    yours = f"Not sent back yet: {listed(own)}. Send" if own else "Add your own balls under Hit, then send"
    include = p(INCLUDE) if any(words.startswith(NOTES_OUT) for words in notes) else ""
    return join(p(f"{what} {yours} it back from here."), *map(p, notes), include)


def question(linked: Entry, mine: Entry) -> Safe:
    """Whom to go on with, after a link was opened beside other work."""
    return join(
        p(f"A link opened {_in_short(linked)}."),
        p(
            f"You were working on {_in_short(mine)}, which is unchanged. Which one do you want to carry on with?"
        ),
    )


def _in_short(entry: Entry) -> str:
    balls, clubs = sum(counts(entry.case).values()), len(clubs_hit(entry.case))
    if not balls:
        return f"\u201c{entry.name}\u201d (no balls yet)"
    return f"\u201c{entry.name}\u201d ({many(balls, 'ball')} with {many(clubs, 'club')})"


STEPS = (Measure, Hit, LayOut, Build, Play)
SENT_ON = ("play", "layout")  # where a player who was sent is sent back from
TRIED_ON = ("layout", "build", "play", "players")  # where a preview shows, or is left out of a file
PLACES = (Players, Methods)


def make_document(boot: dict[str, Any]) -> list[Any]:
    """The roots of the dashboard.

    Parameters
    ----------
    boot : ``hash``, the address' fragment or empty; ``owner``, the player for whom it is known, or empty; ``saved``,
    the text last given to `bridge.save`, or ``None``; ``address``, of the page without a fragment
    """
    bridge.forget()
    page = Page(boot if isinstance(boot, dict) else {})
    return [page.view]
