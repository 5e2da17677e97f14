"""Players, sharing and files: everything stays on the device unless a person sends it."""

from __future__ import annotations

import json
from dataclasses import replace
from html import escape
from typing import Any

import panel as pn

from app import bridge, copies, link, styles
from app.files import file_name
from app.html import Safe, h3, join, note, p, table
from app.phrases.say import many
from app.players import Entry, complete, new_case
from app.widgets import Choice, Fold, Screen, TextField, button, html, line, put, show, stack
from engine.documents.case import CaseError


class Players(Screen):
    id, title = "players", "Players"
    head = ("Players", "Everything about a player stays on this device.")

    def build(self) -> list[Any]:
        state = self.state
        self.query = ""
        self.archived = False
        self.search = TextField("Search by name", lambda: self.query, self._seek, passing=True)
        self.search.view.param.watch(lambda event: self._seek(str(event.new or "")), "value_input")
        self.which = Choice(
            "Player", self._options(), lambda: state.store.open, state.open_player, listed=True
        )
        self.name = TextField("Name of this player", lambda: state.case.player.label, self._rename, most=120)
        self.list = html()
        self.archive = button("Archive", self._archive)
        self.show_archived = button("Show archived players", self._toggle_archived, cls="quiet")
        self.said = html()
        self.qr = Fold("QR code of the link", self._qr, refresh=self._refresh_qr)
        self.qr_pane = html()
        self.file = pn.widgets.FileInput(
            accept=".json,application/json", stylesheets=[styles.FIELD], css_classes=["import"], margin=0
        )
        self.file.param.watch(self._import, "value")
        return [
            stack(
                line(self.search.view, self.which.view, cls="wide-fields"),
                self.list,
                line(self.name.view, cls="wide-fields"),
                line(
                    button("New player", self._new, cls="main"),
                    button("Copy this one", self._copy),
                    self.archive,
                    button("Remove", self._remove),
                ),
                self.show_archived,
                cls="sheet",
            ),
            stack(
                html(
                    join(
                        h3("Share"),
                        p(
                            "The link holds this player, name and body measures included, and anyone who gets it can "
                            "read it. If there is too much for a link, it is shortened, and you are both told what "
                            "was left out; a file always holds everything. The browser may delete what is stored here "
                            "if you do not open the page for a while: keep a file of anything that matters. What "
                            "somebody added to a player you sent comes home the same way: open their link or file "
                            "here."
                        ),
                    )
                ),
                line(
                    button("Share the link", self._share, cls="main"),
                    button("Save this player as a file", self._export),
                    button("Save all players as a file", self._export_all),
                ),
                self.said,
                self.qr.view,
                html(p("Open a file that was saved from Fettle:")),
                self.file,
                cls="sheet",
            ),
        ]

    def _entries(self) -> list[Entry]:
        words = self.query.casefold().split()
        return [
            e
            for e in self.state.listed
            if (self.archived or not e.archived or e.id == self.state.store.open)
            and all(w in e.name.casefold() for w in words)
        ]

    def _options(self) -> dict[str, str]:
        out: dict[str, str] = {}
        entries = self._entries()
        if all(e.id != self.state.store.open for e in entries):
            entries = [self.state.store.entry, *entries]
        for entry in entries:
            name, number = entry.name, 2
            while name in out:
                name, number = f"{entry.name} ({number})", number + 1
            out[name] = entry.id
        return out

    def _seek(self, text: str) -> None:
        """The list for what has been typed so far; the field itself is left to the one who types."""
        self.query = text
        self.which.refresh(self._options())
        put(self.list, player_table(self._entries(), self.state.store.open))

    def _rename(self, text: str) -> None:
        state = self.state
        state.change(lambda c: replace(c, player=replace(c.player, label=text.strip())), "renamed")

    def _new(self) -> None:
        self._add(new_case())

    def _copy(self) -> None:
        case = self.state.case
        label = f"{case.player.label or 'Player'} (copy)"[:120]
        self._add(copies.apart(Entry("", replace(case, player=replace(case.player, label=label)))).case)

    def _add(self, case: Any) -> None:
        try:
            self.state.add_player(complete(case))
        except CaseError as error:
            put(self.said, note(p(str(error)), warn=True))

    def _archive(self) -> None:
        entry = self.state.store.entry
        self.state.archive_player(entry.id, not entry.archived)
        if not entry.archived:
            bridge.announce(f"{entry.name} was archived; {self.state.store.entry.name} is open")

    def _remove(self) -> None:
        self.state.remove_player(self.state.store.open)
        bridge.announce("Player removed; Undo brings the player back")

    def _toggle_archived(self) -> None:
        self.archived = not self.archived
        self.refresh()

    # sharing

    def _share(self) -> None:
        made = link.make(self.state.share(), self.state.units)
        bridge.share(self.state.store.entry.name, made.hash)
        said = list(made.notes)
        if self.state.trying:
            said.append("The link leaves out your preview until you keep it.")
        put(self.said, join(*[p(text) for text in said]))

    def _export(self) -> None:
        text = json.dumps(self.state.share().to_doc(), indent=1, ensure_ascii=False)
        bridge.download(file_name(self.state.store.entry.name, "json"), "application/json", text)
        said = "Saved. The same file works with the command line: python -m engine FILE."
        if self.state.trying:
            said = f"{said} It leaves out your preview until you keep it."
        put(self.said, note(p(said)))

    def _export_all(self) -> None:
        bridge.download(
            "fettle-players.json", "application/json", json.dumps(self.state.to_doc(), ensure_ascii=False)
        )
        put(self.said, note(p(f"{many(len(self.state.store.players), 'player')} saved in one file.")))

    def _import(self, event: Any) -> None:
        if event.new:
            text = bytes(event.new).decode("utf-8-sig", errors="replace")
            put(self.said, note(p(self.state.take_file(text))))
            self.refresh()

    def _qr(self) -> Any:
        return self.qr_pane

    def _refresh_qr(self) -> None:
        if self.qr.open:
            made = link.make(self.state.share(), self.state.units)
            put(
                self.qr_pane,
                join(
                    qr_picture(bridge.address or self.state.address, made.hash),
                    *[p(text) for text in made.notes],
                ),
            )

    def refresh(self) -> None:
        state = self.state
        self.search.refresh()
        self.which.refresh(self._options())
        self.name.refresh()
        archived = sum(e.archived for e in state.store.players)
        show(self.show_archived, archived > 0)
        label = "Hide archived players" if self.archived else f"Show archived players ({archived})"
        if self.show_archived.label != label:
            self.show_archived.label = label
        word = "Bring back" if state.store.entry.archived else "Archive"
        if self.archive.label != word:
            self.archive.label = word
        put(self.list, player_table(self._entries(), state.store.open))
        self._refresh_qr()


def player_table(entries: list[Entry], open_: str) -> Safe:
    rows = [
        [
            e.name,
            len(e.case.shots),
            len({s.club for s in e.case.shots}),
            ", ".join(
                filter(
                    None,
                    [
                        "open" if e.id == open_ else "",
                        "archived" if e.archived else "",
                        "preview" if e.trial else "",
                    ],
                )
            ),
        ]
        for e in entries
    ]
    if not rows:
        return p("No player by that name.")
    return table(
        ["Player", "Balls", "Clubs hit", "State"], rows, caption="On this device", words=[0], cards=True
    )


def qr_picture(address: str, hash_: str) -> Safe:
    """The link as a QR code, or why there is none."""
    text = address + hash_
    try:
        import segno
    except ImportError:
        return p("QR codes are not part of this build; share the link instead.")
    if len(text) > 2000:
        return p(
            "This link is too long for a QR code that a phone can read; share the link or the file instead."
        )
    code = segno.make(text, error="l", micro=False)
    rows = ["".join("1" if cell else "0" for cell in row) for row in code.matrix]
    size = len(rows) + 8
    squares = "".join(
        f"M{x + 4} {y + 4}h1v1h-1z" for y, row in enumerate(rows) for x, cell in enumerate(row) if cell == "1"
    )
    return Safe(
        f'<svg viewBox="0 0 {size} {size}" role="img" aria-label="QR code of the link" class="pic-qr" '
        f'data-address="{escape(address, quote=True)}" '
        f'style="width:min(100%,22rem);background:#fff" shape-rendering="crispEdges">'
        f'<path fill="#000" d="{squares}"/></svg>'
        "<p class=small>Scan it with another phone\u2019s camera. No server keeps what it holds.</p>"
    )
