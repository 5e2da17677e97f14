"""Players, sharing and files: everything stays on the device unless a person sends it."""

from __future__ import annotations

import json
import re
import unicodedata
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import cached_property
from html import escape
from typing import Any

import panel as pn

from app import bridge, copies, edits, link, sessions, styles
from app.dates import day
from app.files import file_name
from app.html import Safe, esc, h3, join, note, p, table, tag
from app.phrases.record import LEFT
from app.phrases.say import many
from app.players import Entry, complete, new_case
from app.screens.over_time import OverTime
from app.screens.record import JobRecord
from app.screens.removed import RemovedPlayers
from app.state import State
from app.widgets import (
    Chips,
    Choice,
    Fold,
    Screen,
    Sure,
    TextField,
    Tick,
    button,
    html,
    line,
    put,
    show,
    stack,
)
from engine.documents.case import Case, CaseError
from engine.documents.fields import NOTE
from engine.fitting.job_record import last_hit, open_question

SEARCH = "Search names, tags and notes"
ORDERS = {"Name": "name", "Last session": "session", "Last change": "changed"}
MOST_SHOWN = 10  # rows, until all are asked for
MOST_TAGS = 640  # characters
MOST_CHIPS = 12  # tags to tap
STROKES = str.maketrans("\u00d8\u00f8\u0141\u0142\u0110\u0111", "OoLlDd")  # no accents to Unicode
COPY, AGAIN = "a copy that has come back", "sent to you again"
NAMES = """
button{display:block;width:100%;min-width:var(--touch);min-height:var(--touch);padding:0;border:0;background:none;
color:var(--accent);font:inherit;text-align:left;text-decoration:underline;overflow-wrap:anywhere;cursor:pointer}
button:focus-visible{outline:3px solid var(--accent);outline-offset:2px} [aria-current]{font-weight:700}
"""
READ = "Anyone who gets the link or the file can read it: name, body measures, clubs and balls. Your notes go along only if "
FULL = "A link that would be too long is shortened, and you are both told what was left out; a file holds every ball."
LOST = "The browser may delete what is stored here if you do not open this page for a while:"
SHARE = (
    f"{READ}you include them; tags then go into the file too, but never into a link. {FULL} What somebody adds comes back "
    "by their link or file: open it, and you are asked before a player you have is changed. One you removed "
    "is brought back.",
    f"{LOST} keep a file of all players, which leaves nothing out.",
)
SHARE_BACK = (
    "Send this player back with what you added: whoever sent it to you opens your link or file, and is asked before "
    f"anything is added to theirs. {READ}you include them. {FULL}",
    f"{LOST} send back what you add, or save a file.",
)
HEADS = ["Player", "Last session", "Balls", "Clubs hit", "Status", "Open questions"]


class Row:
    """What the list tells of a player, each worked out once it is asked for: of hundreds only a few are shown."""

    def __init__(self, entry: Entry) -> None:
        self.entry = entry

    @cached_property
    def words(self) -> str:
        """Those that he is searched by."""
        case = self.entry.case
        notes = (case.player.note, *(one.note for one in case.sessions), *(one.note for one in case.jobs))
        return folded(" ".join((self.entry.name, *case.player.tags, *notes)))

    @cached_property
    def name(self) -> tuple[bool, list[tuple[int, str]]]:
        """By which he is sorted, numbers by their size."""
        parts = re.findall(r"(\d{1,9})|(\D+)", folded(self.entry.name))
        return not self.entry.case.player.label, [(int(number or 0), text) for number, text in parts]

    @cached_property
    def session(self) -> str:
        """The date of the last one."""
        return last_hit(self.entry.case) or ""

    @cached_property
    def tags(self) -> set[str]:
        return set(map(folded, self.entry.case.player.tags))

    @property
    def changed(self) -> str:
        return self.entry.changed

    @cached_property
    def cells(self) -> tuple[int, int, str]:
        """How many balls and clubs hit, and what is left to settle."""
        case = self.entry.case
        left = LEFT.get(open_question(case) or "", "\u2013")
        return sum(sessions.counts(case).values()), len(sessions.clubs_hit(case)), left


class Players(Screen):
    id, title = "players", "Players"
    head = ("Players", "A player stays on this device until you share them.")

    def build(self) -> list[Any]:
        state = self.state
        self.query, self.order = "", "name"
        self.tagged: set[str] = set()  # only players with these tags are shown, large and small letters alike
        self.archived = self.every = False
        self._rows: dict[str, Row] = {}
        self.search = TextField(SEARCH, lambda: self.query, self._seek, passing=True)
        self.search.view.param.watch(lambda event: self._seek(str(event.new or "")), "value_input")
        bridge.listen("player", self._open)
        self.by_tag = Chips("Only those with", {}, lambda: list(self.tagged), self._by_tag)
        self.sort = Choice("Sort by", ORDERS, lambda: self.order, self._sort, listed=True)
        self.name = TextField("Name of this player", lambda: state.case.player.label, self._rename, most=120)
        self.tags = TextField(
            "Tags, with commas between", lambda: ", ".join(state.case.player.tags), self._tag, most=MOST_TAGS
        )
        self.note = TextField(
            "Note on this player", lambda: state.case.player.note, self._note, most=NOTE, lines=True
        )
        self.list = html(sheet=NAMES)
        self.archive = button("Archive", self._archive)
        self.show_archived = button("Show archived players", self._toggle_archived, cls="quiet")
        self.remove = Sure(
            "Remove", self._to_remove, self._remove, what="remove", where=lambda: state.store.open
        )
        self.gone = RemovedPlayers(state)
        self.show_all = button("Show all", self._toggle_all, cls="quiet")
        self.said, self.said_of = html(), state.store.open
        self.left = ("", "", "")  # who was removed last, his name, and who is open since
        self.left_words = html()
        self.go_on = button("Go on", self._go_on, cls="main")
        self.after = stack(html(h3("This player")), self.left_words, line(self.go_on), cls="sheet")
        self.record = JobRecord(state)
        self.over_time = OverTime(state)
        self.share = html()
        self.notes_of = ""  # the player whose link is to hold the notes; another one's link does not
        self.noted = Tick("Include my notes", lambda: self.notes_of == state.store.open, self._tick_notes)
        self.qr = Fold("QR code of the link", self._qr, refresh=self._refresh_qr)
        self.qr_pane = html()
        self.file = pn.widgets.FileInput(
            accept=".json,application/json", stylesheets=[styles.FIELD], css_classes=["import"], margin=0
        )
        self.file.param.watch(self._import, ["value", "filename"])
        self.this = stack(
            html(h3("This player")),
            line(self.name.view, self.tags.view, cls="wide-fields"),
            self.note.view,
            line(button("Copy this one", self._copy), self.archive, self.remove.head),
            self.remove.view,
            stack(self.over_time.view, self.record.view, cls="folds"),
            cls="sheet",
        )
        return [
            stack(
                line(self.search.view, self.sort.view, cls="wide-fields"),
                self.by_tag.view,
                self.list,
                self.show_all,
                self.show_archived,
                self.gone.view,
                line(button("New player", self._new, cls="main"), cls="ends"),
                cls="sheet",
            ),
            self.this,
            self.after,
            stack(
                self.share,
                line(
                    button("Share the link", self._share, cls="main"),
                    button("Save this player as a file", self._export),
                    button("Save all players as a file", self._export_all),
                ),
                self.noted.view,
                self.said,
                self.qr.view,
                html(p("Open a file that was saved from Fettle:")),
                self.file,
                cls="sheet",
            ),
        ]

    def _entries(self) -> list[Row]:
        """The rows to show, in order: those that have every word of the search in name, tags or notes."""
        words, open_ = folded(self.query).split(), self.state.store.open
        rows = [self._row(e) for e in self.state.listed if self.archived or not e.archived or e.id == open_]
        found = [row for row in rows if all(w in row.words for w in words)] if words else rows
        found = sorted((row for row in found if self.tagged <= row.tags), key=lambda row: row.name)
        if self.order == "name":
            return found
        return sorted(found, key=lambda row: str(getattr(row, self.order)), reverse=True)

    def _row(self, entry: Entry) -> Row:
        """What the list tells of a player, made again only for one who was changed."""
        row = self._rows.get(entry.id)
        if row is None or row.entry is not entry:
            row = self._rows[entry.id] = Row(entry)
        return row

    def _open(self, payload: dict[str, Any]) -> None:
        """A name in the list was pressed."""
        state, player = self.state, payload.get("player")
        if any(e.id == player for e in state.listed):
            if player != state.store.open:
                state.open_player(str(player))
            else:
                self._go_on()
            bridge.announce(f"{state.label(state.store.entry)} is open")

    def _seek(self, text: str) -> None:
        """The list for what has been typed so far; the field itself is left to the one who types."""
        if text != self.query:
            self.query = text
            self._refresh_list()

    def _tags(self) -> dict[str, str]:
        """The tags to be tapped, as they were written first: those of most players, in the order of the alphabet."""
        written = [name for entry in self.state.listed for name in entry.case.player.tags]
        first = {folded(name): name for name in reversed(written)}
        most = Counter(map(folded, written)).most_common(MOST_CHIPS)
        return {first[tag]: tag for tag, _ in sorted(most)}

    def _by_tag(self, tags: list[str]) -> None:
        self.tagged = set(tags)
        self._refresh_list()

    def _sort(self, order: str) -> None:
        self.order = order
        self._refresh_list()

    def _toggle_all(self) -> None:
        self.every = not self.every
        self._refresh_list()

    def _refresh_list(self) -> None:
        tags = self._tags()
        self.tagged &= set(tags.values())
        self.by_tag.refresh(tags)
        show(self.by_tag.view, bool(tags))
        rows = self._entries()
        self.sort.refresh()
        show(self.show_all, len(rows) > MOST_SHOWN)
        label = "Show fewer" if self.every else f"Show all {len(rows)} players"
        if self.show_all.label != label:
            self.show_all.label = label
        waiting = {mine.id for _, mine in self.state.waiting}
        shown = rows if self.every else rows[:MOST_SHOWN]
        changes = self.order == "changed"
        put(self.list, player_table(shown, self.state, waiting, changes=changes))

    def _rename(self, text: str) -> None:
        state = self.state
        state.change(lambda c: replace(c, player=replace(c.player, label=text.strip())), "renamed")

    def _tag(self, text: str) -> None:
        tags = tuple(dict.fromkeys(filter(None, (word.strip() for word in text.split(",")))))
        self.state.change(lambda c: edits.player("tags")(c, tags), "tags changed")

    def _note(self, text: str) -> None:
        self.state.change(lambda c: edits.player("note")(c, text.strip()), "note changed")

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

    def _to_remove(self) -> str:
        name = self.state.label(self.state.store.entry)
        balls = sum(sessions.counts(self.state.case).values())
        return f"Remove {name} and {many(balls, 'ball')}?" if balls else f"Remove {name}?"

    def _remove(self) -> None:
        state, gone = self.state, self.state.store.entry
        name = state.label(gone)
        with state.gathered():
            state.remove_player(gone.id)
            self.left = gone.id, name, state.store.open
        state.tell_done(f"{name} was removed.")

    def _go_on(self) -> None:
        self.left = ("", "", "")
        self.refresh()

    def _toggle_archived(self) -> None:
        self.archived = not self.archived
        self.refresh()

    # sharing

    def _tick_notes(self, wanted: bool) -> None:
        self.notes_of = self.state.store.open if wanted else ""
        self._refresh_qr()

    def _link(self) -> link.Made:
        """The link as it is to be sent: with notes only where they are asked for, and never with tags."""
        return link_to_send(self.state, notes=self.notes_of == self.state.store.open)

    def _to_send(self, case: Case) -> Case:
        """The case without what nobody has asked to send."""
        asked = self.notes_of == self.state.store.open
        return case if asked else link.without_own_words(case)

    def _share(self) -> None:
        made = self._link()
        bridge.share(self.state.store.entry.name, made.hash)
        said = list(made.notes)
        if self.state.trying:
            said.append("The link leaves out your preview until you keep it.")
        put(self.said, join(*[p(text) for text in said]))

    def _export(self) -> None:
        case = self.state.share()
        sent = self._to_send(case)
        text = json.dumps(sent.to_doc(), indent=1, ensure_ascii=False)
        bridge.download(file_name(self.state.store.entry.name, "json"), "application/json", text)
        said = ["Saved. The same file works with the command line: python -m engine FILE."]
        said += left_out("file", case, sent)
        if self.state.trying:
            said.append("It leaves out your preview until you keep it.")
        put(self.said, note(p(" ".join(said))))

    def _export_all(self) -> None:
        bridge.download(
            "fettle-players.json",
            "application/json",
            json.dumps(self.state.share_all(), ensure_ascii=False),
        )
        put(
            self.said,
            note(
                p(
                    f"{many(len(self.state.store.players), 'player')} saved in one file. Opened on another device, it adds "
                    "whoever is not there yet, and asks about those who are."
                )
            ),
        )

    def _import(self, *events: Any) -> None:
        if self.file.value or self.file.filename:  # an empty file has a name and no value
            text = bytes(self.file.value or b"").decode("utf-8-sig", errors="replace")
            said = self.state.take_file(text)
            self.refresh()
            put(self.said, note(p(said)))

    def _qr(self) -> Any:
        return self.qr_pane

    def _refresh_qr(self) -> None:
        if self.qr.open:
            made = self._link()
            put(
                self.qr_pane,
                join(
                    qr_picture(bridge.address or self.state.address, made.hash),
                    *[p(text) for text in made.notes],
                ),
            )

    def refresh(self) -> None:
        state = self.state
        if self.said_of != state.store.open:  # what is said is of the one who was open
            self.said_of = state.store.open
            put(self.said, "")
        put(self.share, join(h3("Share"), *map(p, SHARE_BACK if state.sent_here else SHARE)))
        self.search.refresh()
        for field in (self.name, self.tags, self.note):
            field.refresh()
        archived = sum(e.archived for e in state.store.players)
        show(self.show_archived, archived > 0)
        label = "Hide archived players" if self.archived else f"Show archived players ({archived})"
        if self.show_archived.label != label:
            self.show_archived.label = label
        word = "Bring back" if state.store.entry.archived else "Archive"
        if self.archive.label != word:
            self.archive.label = word
        self._refresh_list()
        self.remove.refresh()
        gone, name, open_ = self.left
        chosen = open_ != state.store.open or gone not in {one.entry.id for one in state.store.removed}
        show(self.this, chosen)
        show(self.after, not chosen)
        if not chosen:  # nobody asked for whoever is open now
            now = state.label(state.store.entry)
            put(
                self.left_words,
                p(f"{name} was removed, and {now} is open now. To open another, press a name above."),
            )
            self.go_on.label = f"Go on with {now}"
        self.gone.refresh()
        self.noted.refresh()
        show(self.noted.view, link.without_own_words(state.case) != state.case)
        self.over_time.refresh()
        self.record.refresh()
        self._refresh_qr()


def link_to_send(state: State, *, notes: bool = False) -> link.Made:
    """The link of the open player, and in words what it leaves out."""
    case = state.share()
    sent = link.without_tags(case if notes else link.without_notes(case))
    made = link.make(sent, state.units, new=copies.added_here(state.store.entry))
    return replace(made, notes=(*made.notes, *left_out("link", case, sent)))


def left_out(where: str, case: Case, sent: Case) -> list[str]:
    """What a link or a file of a player leaves out of what was written about him."""
    notes = (
        "your notes" if link.without_notes(sent) == sent != case and link.without_notes(case) != case else ""
    )
    tags = "your tags" if case.player.tags != sent.player.tags else ""
    return [f"The {where} leaves out {' and '.join(filter(None, (notes, tags)))}."] if notes or tags else []


def name_button(entry: Entry, state: State) -> Safe:
    """A name that opens its player; the page tells of a press by the id."""
    now = ' aria-current="true"' if entry.id == state.store.open else ""
    return Safe(
        f'<button type="button" data-player="{escape(entry.id, quote=True)}"{now}>{esc(state.label(entry))}</button>'
    )


def folded(text: str) -> str:
    """A text as it is searched and sorted: without accents, small and large letters alike."""
    if text.isascii():
        return text.casefold()
    text = text.translate(STROKES)
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c)).casefold()


def player_table(
    rows: Sequence[Row], state: State, waiting: Collection[str] = (), *, changes: bool = False
) -> Safe:
    """The list; ``waiting`` are the ids of players of whom a copy came home that is asked about;
    ``changes`` puts the day of the last change in place of the last session.
    """
    if not rows:
        return p("No player matches this search.")
    cells = []
    for row in rows:
        entry, (balls, clubs, left) = row.entry, row.cells
        tags = ", ".join(entry.case.player.tags)
        told = {"open now": entry.id == state.store.open, "archived": entry.archived, "preview": entry.trial}
        cells.append(
            [
                join(name_button(entry, state), tag("span", tags, cls="small under") if tags else ""),
                day(row.changed[:10] if changes else row.session) or "\u2013",
                balls,
                clubs,
                ", ".join(word for word, so in told.items() if so),
                (AGAIN if entry.guest else COPY) if entry.id in waiting else left,
            ]
        )
    heads = [HEADS[0], "Last change", *HEADS[2:]] if changes else HEADS
    return table(heads, cells, caption="On this device", words=[0, 5], cards=True)


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
