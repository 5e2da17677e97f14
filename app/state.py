"""What the dashboard holds: one immutable store (players, each a case), its undo stack, and what follows
from it.

Every edit makes a new case, which is held against the rules of its fields (`engine.documents.checking`) before it is
taken in; a refused edit changes nothing.
What is tried out on the layout screen lives beside the case as a trial until it is kept.
"""

from __future__ import annotations

import asyncio
import json
import re
import sys
import traceback
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, TypeVar

from app import bridge, copies, link
from app.at_hand import AtHand
from app.dates import day, now
from app.glance import first_club, glance
from app.paste import garbage
from app.phrases.say import listed, many
from app.players import (
    MOST_EARLY,
    MOST_LAYOUTS,
    MOST_NAME,
    MOST_PLAYERS,
    MOST_TEMPLATES,
    VERSION,
    Entry,
    Removed,
    Store,
    Template,
    complete,
    entries_of,
    entry_doc,
    estimated,
    free_player_id,
    from_saved,
    is_blank,
    is_untouched,
    labels,
    lasting,
    new_case,
    newer,
    numbered,
    open_without,
    stepped_back,
    template_docs,
    templates_of,
)
from engine.documents.case import STORE_FORMAT, Case, CaseError, Club, Path, Shot
from engine.documents.checking import checked
from engine.documents.merge import Merged, tracked
from engine.documents.reading import restore
from engine.documents.result import Result
from engine.fitting.fitting import Fitting

MOST_UNDO = 100
MOST_UNDO_KEPT = 5  # steps that are saved
MOST_CHANGED = 20  # players whom such a step may change
MOST_FILE = 32_000_000  # characters
DRAWS_WHEN_SHORT = 64  # of memory
SAVE_AFTER = 0.3  # [s]
AT_ONCE = 1_000_000  # characters of a store that is saved with every ball; a longer one takes a tenth of a second to write
MERGED = "copy added"
BROUGHT_BACK = "player brought back"
FORGOTTEN = "removed players deleted"
NOTHING_NEW = "This link holds nothing new about \u201c{}\u201d, so the stored player was opened."
LESS = "This link holds less about \u201c{}\u201d than is stored here, so the stored player was opened."
UNITS = {"metric": "metres and centimetres", "imperial": "yards and inches"}
OPENED = "file opened"  # which takes the place of players of whom nothing was typed yet
FULL = "The list holds at most {} players, so this link was not opened; save a file, remove some, and open it again."
Edit = Callable[[Case], Case]
Part = TypeVar("Part")


class State:
    """The store, its history, its result, and who wants to know about changes."""

    def __init__(self, *, saved: str | None = None, fragment: str = "", owner: str = "") -> None:
        self.notices: list[str] = []
        self.problem = ""  # why there is no result, where there is none
        self.started = ""  # in which way this start was made, in words
        self.address = ""  # of the page, without its fragment; for the QR code
        self.card: Callable[[], dict[str, Any] | None] = lambda: None  # the carry card in texts, once solved
        self.refusal = ""  # of the last edit that was refused, in words
        self._undo: list[tuple[Store, str, Any, str]] = []
        self._earlier: list[dict[str, Any]] = []  # steps back from before this visit, not read yet
        self._fields: dict[
            Any, tuple[Store, str, Callable[[], None], str]
        ] = {}  # those with a text that was refused
        self.step = ""  # the id of the step that is shown
        self._gathering = self._gathered = False
        self._listeners: list[Callable[[], None]] = []
        self._fitting: Fitting | None = None
        self._failed: Fitting | None = None  # the one whose result could not be worked out
        self._timer: asyncio.TimerHandle | None = None  # for the address, once all is quiet
        self._saved_size = 0  # characters of the last save
        self._saver: asyncio.TimerHandle | None = None  # for a save, which waits for nothing that comes after
        self._texts: dict[int, tuple[Entry, str]] = {}  # of each player, as last saved, by identity
        self._noted: dict[str, str] = {}  # of which player a notice is
        self._was_open = ""
        self._labelled: tuple[Any, dict[str, str]] = None, {}
        self.begin(saved, fragment, owner)

    def begin(self, saved: str | None, fragment: str, owner: str = "") -> None:
        """Take up what was kept on this device and the link; a restored dashboard was made before they were known."""
        self._earlier, self._texts = [], {}
        self.store = from_saved(saved, self.notices, self._earlier, self._texts)
        self._kept = self.store  # what the page has been given to save last
        self._carded: Store | None = None  # of which it was given the carry card last
        self._done: Store | None = None  # as an edit left it that is told over the page
        self._refused: Store | None = None  # what was here when a link could not be opened
        self._known: list[tuple[str, str]] = []  # fragments that the next save covers, and whose they are
        self._prefix, self._number = copies.new_prefix(), 1  # of the next ball's id
        self._units_open = not saved  # whether a link may bring its sender's: nobody has chosen any here
        self._undo.clear()
        self._fields.clear()
        self.store = self._kept = replace(self.store, open=self._openable(self.store.open))
        self._first = self.store  # before which the earlier steps lie
        self.open_link(fragment, owner=owner, at_start=True)
        self._was_open = self.store.open

    # what is shown

    @property
    def case(self) -> Case:
        return self.store.entry.case

    @property
    def shown(self) -> Case:
        """The case the screens compute with: the trial if there is one."""
        return self.store.entry.trial or self.case

    @property
    def trying(self) -> bool:
        return self.store.entry.trial is not None

    @property
    def units(self) -> str:
        return self.store.units

    @property
    def fitting(self) -> Fitting:
        """What is shown, solved: each part made when first asked for, and the only place where it is kept."""
        if self._fitting is None:
            self._fitting = Fitting(self.shown)
        elif self._fitting.given is not self.shown:
            self._fitting = self._fitting.after(self.shown)
        return self._fitting

    @property
    def summed_up(self) -> Fitting | None:
        """What is shown, its balls summed up: enough for Hit, which need not wait for the layouts. ``None`` with
        ``problem`` in words."""
        return None if self._worked_out(lambda fitting: fitting.shots) is None else self.fitting

    @property
    def drawn(self) -> Fitting | None:
        """What is shown, its layouts solved: enough for the pictures and for Play, which need not wait for the verdict.
        ``None`` with ``problem`` in words."""
        return None if self._worked_out(lambda fitting: fitting.layouts) is None else self.fitting

    @property
    def solved(self) -> bool:
        """Whether the layouts of what is shown are there already."""
        fitting = self._fitting
        if fitting is None or fitting is self._failed:
            return False
        return fitting.given is self.shown and "layouts" in vars(fitting)

    @property
    def result(self) -> Result | None:
        """The result of what is shown, or ``None`` with ``problem`` in words."""
        return self._worked_out(lambda fitting: fitting.result)

    def _worked_out(self, part: Callable[[Fitting], Part]) -> Part | None:
        if self.fitting is self._failed:
            return None
        try:
            return self._in_memory(part)
        except CaseError as error:
            self.problem = f"{error.field}: {error.problem}"
        except Exception as error:  # a traceback helps nobody on a phone; the log has it, the data stay
            traceback.print_exc()
            self.problem = (
                f"The calculation failed for this player ({type(error).__name__}). "
                "Nothing is lost: undo the last change, or save the player as a file and report it."
            )
        self._failed = self.fitting
        return None

    def _in_memory(self, part: Callable[[Fitting], Part]) -> Part:
        """A part of what is solved; with fewer draws, and saying so, where the device has no memory for all of them."""
        try:
            return part(self.fitting)
        except MemoryError:
            if self.fitting.draws == DRAWS_WHEN_SHORT:
                raise
            self._fitting = Fitting(self.shown, DRAWS_WHEN_SHORT)
            found = part(self._fitting)
        words = (
            "This device is short of memory, so the calculation was coarser and the ranges are a little rough. "
            "Closing other pages helps."
        )
        if words not in self.notices:
            self.notices.append(words)
        return found

    # changes

    def listen(self, listener: Callable[[], None]) -> None:
        self._listeners.append(listener)

    def change(self, edit: Edit, what: str) -> bool:
        """Edit the case itself, and a trial under way with it, so that trying out and entering balls do not get in each
        other's way. Returns whether it was done; see `_edited`.
        """

        def edited(entry: Entry) -> Entry:
            case = self._taken(edit, entry.case)
            trial = None if entry.trial is None else self._taken(edit, entry.trial)
            return replace(entry, case=case, trial=None if trial == case else trial)

        return self._edited(edited, what)

    def change_days(self, edit: Edit, what: str) -> bool:
        """An edit of days, of sessions or of a build: said over the page where balls changed clubs with it."""
        before = self.case.shots
        done = self.change(edit, what)
        moved = sum(a.club != b.club for a, b in zip(before, self.case.shots, strict=False)) if done else 0
        if moved:
            self.tell_done(f"{many(moved, 'ball')} put to the clubs as they were on that day.")
        return done

    @property
    def guest(self) -> str:
        """The mark of this device where the open player was sent to it, see `app.sessions`; "" where he is at home."""
        return self._prefix[:4] if self.store.entry.guest else ""

    def try_out(self, edit: Edit, what: str, *, on: Any = None) -> bool:
        """Edit the trial only; the case stays until the trial is kept. Repeats of one ``what`` ``on`` the same thing
        undo as one. Returns whether it was done; see `_edited`.
        """

        def edited(entry: Entry) -> Entry:
            trial = self._taken(edit, self.shown)
            return replace(entry, trial=None if trial == entry.case else trial)

        return self._edited(edited, what, together=None if on is None else (what, on))

    def _taken(self, edit: Edit, case: Case) -> Case:
        """The case after an edit, checked, and with what is not known of its clubs estimated from what is now."""
        new = tracked(case, edit(case))
        if new.player.id and (new.shots is not case.shots or new.retest is not case.retest):
            new = copies.with_ids(new, self._prefix, first=self._number, guest=self.store.entry.guest)
        return estimated(checked(new, known=case))

    def _edited(self, edited: Callable[[Entry], Entry], what: str, *, together: Any = None) -> bool:
        """Where every edit ends. One that fails, whatever the reason, changes nothing and is told here, and only here:
        in ``refusal`` and over the page. Widgets look again at what the case holds after each edit, see `app.widgets`.
        """
        try:
            entry = edited(self.store.entry)
        except CaseError as error:
            self._refuse(refusal_words(error))
            return False
        except Exception as error:  # a slip of ours; the log has it, the data stay
            traceback.print_exc()
            self._refuse(
                f"That could not be done ({type(error).__name__}), and nothing was changed. Try it another way; "
                "if that fails too, save the file under Players and report it."
            )
            return False
        self._numbered(entry)
        self._put(entry, what, together=together)
        self._mended()
        return True

    def _mended(self) -> None:
        """Put away what was said of an edit that was refused."""
        if self.refusal:
            self.refusal = ""
            bridge.refuse("")

    def _numbered(self, entry: Entry) -> None:
        """No later ball, of whichever copy of a player, gets a number that one has in this entry."""
        self._number = max(self._number, copies.number_after(entry, self._prefix))

    def _refuse(self, words: str) -> None:
        self.refusal = words
        bridge.refuse(words)

    @contextmanager
    def gathered(self) -> Iterator[None]:
        """Several edits, each with its own step back, after which everybody is told once."""
        if self._gathering:
            yield
            return
        self._gathering = True
        try:
            yield
        finally:
            self._gathering = False
            if self._gathered:
                self._gathered = False
                self._after()

    def keep_trial(self) -> None:
        entry = self.store.entry
        if entry.trial is not None:
            self._put(replace(entry, case=entry.trial, trial=None), "preview kept")

    def drop_trial(self) -> None:
        entry = self.store.entry
        if entry.trial is not None:
            self._put(replace(entry, trial=None), "preview discarded")

    def set_units(self, units: str) -> None:
        self._units_open = False
        self._become(replace(self.store, units=units), "units switched")

    def set_look(self, **look: Any) -> None:
        self._become(replace(self.store, **look), "")
        bridge.look(self.store.theme, self.store.contrast, self.store.size)

    def remember_columns(self, layout: str, choices: Mapping[str, Any]) -> None:
        """Keep what was chosen for the columns of a file, for the next file of the same layout."""
        known = {key: value for key, value in self.store.columns.items() if key != layout}
        kept = dict([*known.items(), (layout, dict(choices))][-MOST_LAYOUTS:])
        self._become(replace(self.store, columns=kept), "")

    def set_at_hand(self, at_hand: AtHand) -> None:
        """Keep what was entered of the shot at hand; it is asked again all the time, so that undo leaves it alone."""
        self._become(replace(self.store, at_hand=at_hand), "")

    def hit_with(self, club_id: str) -> None:
        """Keep which club was chosen to hit with, for the next visit."""
        if club_id != first_club(self.store):
            self._become(replace(self.store, hitting=(self.store.entry.id, club_id)), "")

    # what was typed before the dashboard was there

    def early_for(self, page: str, player: str, after: str = "") -> None:
        """Open the player for whom something was typed in ``page``, which may go on with what was typed in the page
        ``after``; nobody, or one who is gone: a new one."""
        known = self.store.early
        wanted = player
        if not any(e.id == player for e in self.store.players):
            wanted = (known.get(page) or known.get(after) or (0, player))[1]
        if wanted != self.store.open and any(e.id == wanted for e in self.store.players):
            self.open_player(wanted)
        elif wanted != self.store.open and not is_blank(self.case):
            self.add_player(new_case())

    def early_taken(self, page: str, number: int) -> bool:
        """Note that entry ``number`` of ``page`` is taken in; whether it was before."""
        known = self.store.early
        if number < known.get(page, (0, ""))[0]:
            return True
        others = [item for item in known.items() if item[0] != page]
        early = dict([*others, (page, (number + 1, self.store.open))][-MOST_EARLY:])
        self._become(replace(self.store, early=early), "")
        return False

    # bags to start from

    def keep_template(self, name: str, bag: tuple[Club, ...]) -> None:
        """Keep a bag under a name, in place of the one that had it."""
        name = name.strip()[:MOST_NAME]
        others = tuple(t for t in self.store.templates if t.name != name)
        if len(others) >= MOST_TEMPLATES:
            self._refuse(f"At most {MOST_TEMPLATES} bags can be kept; remove one first.")
            return
        self._become(
            replace(self.store, templates=(*others, Template(name, bag))), f"bag \u201c{name}\u201d kept"
        )

    def drop_template(self, name: str) -> None:
        left = tuple(t for t in self.store.templates if t.name != name)
        self._become(replace(self.store, templates=left), f"bag \u201c{name}\u201d taken out")

    # players

    def add_player(self, case: Case, what: str = "player added", *, home: Entry | None = None) -> None:
        """Add a player and open him; ``home`` is the one of whom he is a copy, which is asked about: he stays open."""
        here = _begun(self.store.players) if what == OPENED else self.store.players
        if len(here) >= MOST_PLAYERS:
            raise CaseError("players", f"the list holds at most {MOST_PLAYERS}; save a file and remove some")
        entry = copies.opened(Entry(self._new_id(), complete(case)))
        asked = (*([(entry.id, home.id)] if home else ()), *self.store.asked)
        players, open_ = (*here, entry), home.id if home else entry.id
        self._become(replace(self.store, players=players, open=open_, asked=asked), what)

    def open_player(self, player_id: str) -> None:
        self._become(replace(self.store, open=self._openable(player_id)), "player opened")

    def archive_player(self, player_id: str, archived: bool) -> None:
        """Put a player away, or bring one back; if the open one is put away, the next that is not is opened."""
        players = tuple(replace(e, archived=archived) if e.id == player_id else e for e in self.store.players)
        open_ = open_without(self.store, player_id, players) if archived else self.store.open
        self._become(
            replace(self.store, players=players, open=open_),
            "player archived" if archived else BROUGHT_BACK,
        )

    def remove_player(self, player_id: str) -> None:
        """Take a player off the list, and copies of him that wait; he is kept for a while to be brought back."""
        ids = [*(other.id for other, mine in self.waiting if mine.id == player_id), player_id]
        store = self._without(*ids)
        open_ = open_without(self.store, player_id, store.players)
        self._become(replace(store, open=open_), "player removed")

    def _without(self, *ids: str) -> Store:
        """The store with some players among the removed ones, in this order."""
        store, here = self.store, {e.id: e for e in self.store.players}
        players = tuple(e for e in store.players if e.id not in ids) or (Entry(self._new_id(), new_case()),)
        gone = (Removed(here[i], now()) for i in ids if i in here and not is_untouched(here[i].case))
        asked = tuple(pair for pair in store.asked if not {*pair} & {*ids})
        return replace(store, players=players, removed=lasting((*store.removed, *gone)), asked=asked)

    def bring_back(self, player_id: str) -> None:
        """A removed player as he was; if a copy of him has come meanwhile, what to do with him is asked as of any copy."""
        entry = next(one.entry for one in self.store.removed if one.entry.id == player_id)
        home = self._home(entry.case)
        left = tuple(one for one in self.store.removed if one.entry is not entry)
        store = replace(self.store, removed=left, open=home.id if home else entry.id)
        if home is None or not self._nothing_new(home, entry.case):
            if len(store.players) >= MOST_PLAYERS:
                self._refuse(
                    f"The list holds at most {MOST_PLAYERS} players; save a file and remove some first."
                )
                return
            asked = (*([(entry.id, home.id)] if home else ()), *store.asked)
            store = replace(store, players=(*store.players, entry), asked=asked)
        self._become(store, BROUGHT_BACK)

    def forget_removed(self) -> None:
        self._become(replace(self.store, removed=()), FORGOTTEN)

    def tell_done(self, words: str) -> None:
        """Tell over the page what the last edit took away, until another edit is made."""
        bridge.done(words, undo=True)
        self._done = self.store

    @property
    def done_stands(self) -> bool:
        """Whether nothing was edited since that was told: undo takes it back."""
        return self._done is not None and self._stands(self._done)

    # undo

    @property
    def undo_what(self) -> str:
        """What undo takes back: a text that was refused and still stands in its field, if it came last, else an edit."""
        if (last := self._refused_last()) is not None:
            return self._fields[last][1]
        return self._undo[-1][1] if self._undo else str(self._earlier[-1]["what"]) if self._earlier else ""

    @property
    def undo_step(self) -> str:
        """Where that was done."""
        if (last := self._refused_last()) is not None:
            return self._fields[last][3]
        if not self._undo and self._earlier:
            return str(self._earlier[-1].get("step") or "")
        return self._undo[-1][3] if self._undo else ""

    def _recall(self) -> bool:
        """Read the steps back from before this visit, which takes time, so that it is done once somebody wants them; whether
        there are any."""
        after, docs = self._first, self._earlier[::-1]
        self._earlier = []
        for doc in docs:
            before = stepped_back(after, doc)
            if before is None:
                break
            self._undo.insert(0, (before, str(doc["what"]), None, str(doc.get("step") or "")))
            after = before
        return bool(self._undo)

    def undo(self) -> None:
        what, last = self.undo_what, self._refused_last()
        if last is not None:
            self._fields[last][2]()
        elif what and (self._undo or self._recall()):
            before = self._undo.pop()[0]
            if what != MERGED:
                now = {e.id: e for e in self.store.players}
                players = tuple(copies.undone(now.get(e.id, e), e) for e in before.players)
                before = before if players == before.players else replace(before, players=players)
            self.store = self._undoable(before)
            self._after(save=True)  # whoever undoes may leave at once
        if what:
            bridge.announce(f"Undone: {what}")

    def keep_refused(self, field: Any, what: str, take_back: Callable[[], None]) -> None:
        """A field holds a text that was refused: until it is mended, undo takes it back in its turn."""
        self._fields.pop(field, None)
        self._fields[field] = (self.store, what, take_back, self.step)
        self._tell()

    def drop_refused(self, field: Any) -> None:
        """The field holds no such text any more."""
        if self._fields.pop(field, None):
            self._tell()

    def _refused_last(self) -> Any:
        """The field whose text was refused after the last edit, if there is one."""
        return next((f for f, (then, *_) in reversed(self._fields.items()) if self._stands(then)), None)

    def _stands(self, then: Store) -> bool:
        """Whether nothing was edited since: the shot at hand is no edit."""
        return self._undoable(then) == self.store

    def _undoable(self, then: Store) -> Store:
        """An earlier store, but for what is no edit: the shot at hand, its club, and what is known of early entries."""
        now = self.store
        kept = {name: getattr(now, name) for name in ("at_hand", "hitting", "early")}
        if all(getattr(then, name) == value for name, value in kept.items()):
            return then
        return replace(then, **kept)

    # doors

    def open_link(self, fragment: str, *, owner: str = "", at_start: bool = False) -> None:
        """Open a link beside what is here; nothing is overwritten.

        ``owner`` is the player of whom all that the fragment holds is or was stored on this device: it tells nothing
        new, however old it is, and he is opened as he is stored now.
        """
        self._fragment = fragment
        wanted = owner or link.marked(fragment)
        stored = next((e for e in self.store.players if e.id == wanted), None)
        if stored is not None:
            if wanted == owner:
                self._note_old(fragment, stored, at_start)
            self._open_stored(wanted, at_start)
            return
        if (gone := next((one for one in self.store.removed if one.entry.id == owner), None)) is not None:
            self._back_by_link(gone, told=True)
            return
        opened = link.read(fragment)
        if opened.problem:
            self._refuse_link(opened.problem)
        if opened.case is not None:
            if opened.units and self._units_open:
                self.store = replace(self.store, units=opened.units)
            self._units_open = False
            linked = complete(opened.case)
            mine = self.store.entry
            same = next((e for e in self.store.players if _same(e.case, linked)), None)
            if same is not None:
                self._known.append((fragment, same.id))
                self._note_old(fragment, same, at_start)
                self._open_stored(same.id, at_start)
                return
            home = self._home(linked)
            fuller = next((e for e in self.store.players if _holds_less(linked, e.case)), None)
            if home is not None:
                if self._waits(home, linked):
                    self._open_stored(home.id, at_start)
                    return
                fuller = home if self._nothing_new(home, linked) else None
            elif fuller is None and (gone := self._among_removed(linked)) is not None:
                news = not (_same(gone.entry.case, linked) or _holds_less(linked, gone.entry.case))
                news = news and not self._nothing_new(gone.entry, linked)
                home = gone.entry
                if not news:
                    self._known.append((fragment, home.id))
                if not self._back_by_link(gone, told=not news) or not news:
                    return
                opened = replace(opened, notes=(_is_back(gone), *opened.notes))
            if fuller is not None:
                if home:
                    self._note_old(fragment, home, at_start)
                elif fuller not in [mine for _, mine in self.waiting]:  # of whom another copy is asked about
                    self._note(fuller.id, LESS.format(self.label(fuller)))
                self._open_stored(fuller.id, at_start)
                return
            blank = is_untouched(mine.case) and mine.trial is None and home is None
            if not blank and len(self.store.players) >= MOST_PLAYERS:
                self._refuse_link(FULL.format(MOST_PLAYERS))
            elif blank:
                self._put_linked(copies.opened(replace(mine, case=linked)), fragment, opened.notes)
            else:
                entry = copies.opened(Entry(self._new_id(), linked))
                self._put_linked(entry, fragment, opened.notes, home=home)
        if not at_start and (opened.case is not None or opened.problem):
            self._after()

    def _open_stored(self, player_id: str, at_start: bool) -> None:
        player_id = self._openable(player_id)
        if at_start:
            # a page that only looks saves nothing
            self.store = self._kept = replace(self.store, open=player_id)
        elif player_id != self.store.open:
            self.open_player(player_id)
        else:
            self._after()

    def _put_linked(
        self, entry: Entry, fragment: str, notes: tuple[str, ...], *, home: Entry | None = None
    ) -> None:
        """Open a linked player: in the place of a blank one of that id, or beside the others, which is asked about;
        ``home`` is the player of whom he is a copy."""
        store = self.store
        if any(e.id == entry.id for e in store.players):
            players = tuple(entry if e.id == entry.id else e for e in store.players)
            self.store = replace(store, players=players)
        else:
            back = home.id if home else self.question[1].id if self.question else store.open
            waiting = [(other.id, mine.id) for other, mine in self.waiting]
            asked = ((entry.id, back), *waiting)
            open_ = home.id if home else entry.id
            self.store = replace(store, players=(*store.players, entry), open=open_, asked=asked)
        players = numbered(store.players, self.store.players, store.removed)
        self.store = replace(self.store, players=players)
        self._known.append((fragment, entry.id))
        self._drop_notes(lambda player: player != self.store.open or home is not None)
        self._note(self.store.open, *notes)
        self._undo.clear()
        self._earlier.clear()

    def _note_old(self, fragment: str, stored: Entry, at_start: bool) -> None:
        """Say that a link holds nothing new, unless it is what the address of this page says of the player anyhow, or a
        copy of him is asked about."""
        known = link.read(fragment).case if at_start else None
        own = known is not None and link.packed(complete(known)) == link.packed(stored.case)
        if not own and stored not in [mine for _, mine in self.waiting]:
            self._note(stored.id, NOTHING_NEW.format(self.label(stored)))

    def _note(self, player_id: str, *notes: str) -> None:
        """Say something of a player at the head of the page, until another one is opened."""
        self.notices.extend(notes)
        self._noted |= dict.fromkeys(notes, player_id)

    def _drop_notes(self, about: Callable[[str], bool]) -> None:
        """Put away what was said of some players."""
        gone = [words for words, player in self._noted.items() if about(player)]
        for words in gone:
            del self._noted[words]
        self.notices[:] = [words for words in self.notices if words not in gone]

    def _refuse_link(self, problem: str) -> None:
        """A link that cannot be opened now stays in the address, to be tried again."""
        self.notices.append(problem)
        self._refused = self.store

    @property
    def question(self) -> tuple[Entry, Entry] | None:
        """The player who came by link or file and the one who was here, until it is answered: a linked one is open, while
        of a copy that came home the one here is, so that what is typed stays his."""
        found = (asked for asked in self._asked() if self.store.open == asked[_are_copies(asked)].id)
        return next(found, None)

    def _asked(self) -> tuple[tuple[Entry, Entry], ...]:
        found = {e.id: e for e in self.store.players} if self.store.asked else {}
        return tuple((found[i], found[j]) for i, j in self.store.asked if i in found and j in found)

    @property
    def waiting(self) -> tuple[tuple[Entry, Entry], ...]:
        """The copies that came home and are asked about, each with the player here."""
        return tuple(filter(_are_copies, self._asked()))

    @property
    def listed(self) -> tuple[Entry, ...]:
        """The players who can be opened: all but a copy that came home and is asked about."""
        apart = {other.id for other, _ in self.waiting}
        return tuple(e for e in self.store.players if e.id not in apart)

    @property
    def sent_here(self) -> bool:
        """Whether the open player was sent by somebody else, and nobody here has players of his own."""
        own = (e for e in self.store.players if not e.guest and not is_untouched(e.case))
        return self.store.entry.guest and not any(own)

    @property
    def labels(self) -> dict[str, str]:
        """What the players who can be opened are called, by id."""
        if self._labelled[0] is not self.store.players:
            self._labelled = self.store.players, labels(self.listed)
        return self._labelled[1]

    def label(self, entry: Entry) -> str:
        return self.labels.get(entry.id, entry.name)

    def _openable(self, player_id: str) -> str:
        """The player to open for one who is wanted: for a copy that is asked about, the one here."""
        return next((mine.id for other, mine in self.waiting if other.id == player_id), player_id)

    # copies of one player

    def share(self) -> Case:
        """The open player as a link or a file is to hold him: with what is needed to know him again when he comes back.
        That is no edit, and undo leaves it alone."""
        self._mark_sent([self.store.entry])
        return self.case

    def share_all(self) -> dict[str, Any]:
        """The document of all players as a file is to hold them, each with what is needed to know him again."""
        self._mark_sent(self.listed)
        return {name: part for name, part in self.to_doc().items() if name not in ("removed", "undo")}

    def _mark_sent(self, entries: Collection[Entry]) -> None:
        sent: dict[str, tuple[Entry, Entry]] = {}
        for old in entries:
            new = old if is_untouched(old.case) else copies.sent(old, self._prefix, self._number)
            if new is not old:
                self._numbered(new)
                sent[old.id] = old, new
        if not sent:
            return

        def marked(entry: Entry) -> Entry:
            old, new = sent.get(entry.id, (entry, entry))
            return new if entry is old else copies.like(entry, old, new)

        def all_marked(store: Store) -> Store:
            return replace(store, players=tuple(map(marked, store.players)))

        self._recall()
        self._undo = [(all_marked(store), *rest) for store, *rest in self._undo]
        self._become(all_marked(self.store), "")

    def _home(self, case: Case) -> Entry | None:
        """The player here of whom a case is a copy."""
        wanted = case.player.id
        return next((e for e in self.store.players if wanted and e.case.player.id == wanted), None)

    def _among_removed(self, case: Case) -> Removed | None:
        """The removed player of whom a case is a copy, or holds no more than he does."""
        wanted = case.player.id
        gone = self.store.removed[::-1]
        found = (one for one in gone if wanted and one.entry.case.player.id == wanted)
        alike = (one for one in gone if _same(one.entry.case, case) or _holds_less(case, one.entry.case))
        return next(found, None) or next(alike, None)

    def _back_by_link(self, gone: Removed, *, told: bool) -> bool:
        """A removed player whose link was opened is back, in the place of a blank one, or beside the others; that is
        ``told`` at once, unless more is to be said of the link. Whether there was room."""
        store, mine, entry = self.store, self.store.entry, gone.entry
        blank = is_untouched(mine.case) and mine.trial is None
        if not blank and len(store.players) >= MOST_PLAYERS:
            self._refuse_link(FULL.format(MOST_PLAYERS))
            return False
        players = tuple(e for e in store.players if not (blank and e is mine))
        left = tuple(one for one in store.removed if one is not gone)
        store = replace(store, players=(*players, entry), removed=left, open=entry.id)
        self._become(store, BROUGHT_BACK)
        if told:
            self._note(entry.id, _is_back(gone))
        return True

    def _nothing_new(self, home: Entry, case: Case) -> bool:
        try:
            return copies.together(home, case)[1].nothing_new
        except CaseError:
            return False

    def _waits(self, home: Entry, case: Case) -> bool:
        """Whether a copy of a player here is asked about already that was sent together with this one, and holds it all."""
        there = (other for other, mine in self.waiting if mine.id == home.id)
        return any(one.case.shares[-1:] == case.shares[-1:] and self._nothing_new(one, case) for one in there)

    @property
    def copied(self) -> tuple[Entry, Entry] | None:
        """The copy that came home and is asked about, and the player here."""
        asked = self.question
        return asked if asked and _are_copies(asked) else None

    def together(self, copy: Entry | None = None) -> Merged | None:
        """What would come of putting the two copies together, or ``None``, said in ``refusal``, where it cannot be; or of
        another ``copy`` of the player here."""
        if self.copied is None:
            return None
        other, mine = self.copied
        try:
            return copies.together(mine, (copy or other).case)[1]
        except CaseError as error:
            if copy is None:
                self.refusal = refusal_words(error)
            return None

    def ask_about(self, copy_id: str) -> None:
        """Ask about this one of the copies that came home, before the others."""
        mine = [pair for pair in self.store.asked if pair[0] == copy_id]
        rest = (pair for pair in self.store.asked if pair not in mine)
        self._become(replace(self.store, asked=(*mine, *rest)), "")

    def put_together(
        self, choices: Mapping[Path, bool | str], keep: Collection[str], drop: Collection[str] = ()
    ) -> bool:
        """Put the two copies together into the player here; undo asks again."""
        if self.copied is None:
            return False
        other, mine = self.copied
        try:
            entry, _ = copies.together(mine, other.case, choices, keep, drop)
            entry = replace(entry, case=estimated(entry.case))
        except CaseError as error:
            self._refuse(refusal_words(error))
            return False
        players = tuple(entry if e.id == mine.id else e for e in self.store.players if e.id != other.id)
        self._answered(other, mine, players, MERGED)
        return True

    def put_all_together(
        self, choices: Mapping[Path, bool | str], keep: Collection[str], drop: Collection[str] = ()
    ) -> int:
        """Put every copy that is asked about into the player here, with these choices for the one in question; how many
        could not be, which are asked about still.
        """
        asked = self.copied
        here = {e.id: e for e in self.store.players}
        store, left = self.store, []
        for other, mine in self.waiting:
            try:
                home = here[mine.id]
                if (other, mine) == asked:
                    entry, _ = copies.together(home, other.case, choices, keep, drop)
                else:
                    entry, _ = copies.together(home, other.case, drop=copies.left_out(home, other.case))
                here[mine.id] = replace(entry, case=estimated(entry.case))
                del here[other.id]
                store = _unasked(store, (other.id, mine.id))
            except CaseError:
                left.append(mine.id)
        open_ = left[0] if left else store.open
        self._become(replace(store, players=tuple(here.values()), open=open_), MERGED)
        return len(left)

    def _answered(self, other: Entry, mine: Entry, players: tuple[Entry, ...], what: str) -> None:
        """One copy is dealt with: on to the next that tells anything new, else to the player here."""
        store = _unasked(replace(self.store, players=players), (other.id, mine.id))
        here = {e.id: e for e in players}
        homes = []
        for copy, home in self.waiting:
            if copy.id == other.id:
                continue
            if self._nothing_new(here[home.id], copy.case):
                store = _unasked(store, (copy.id, home.id))
                store = replace(store, players=tuple(e for e in store.players if e.id != copy.id))
            else:
                homes.append(home.id)
        open_ = homes[0] if homes and mine.id not in homes else mine.id
        self._become(replace(store, open=open_), what)

    def keep_apart(self) -> None:
        """Keep the copy that came home as a player of its own, and go back to the one here."""
        if self.copied is not None:
            other, mine = self.copied
            players = tuple(copies.apart(e) if e.id == other.id else e for e in self.store.players)
            self._answered(other, mine, players, "copy kept as a player")

    def stay(self) -> None:
        """Go on with the linked player."""
        asked = self.question
        if asked is not None:
            ids = asked[0].id, asked[1].id
            self._recall()
            self._undo = [(_unasked(store, ids), *rest) for store, *rest in self._undo]
            self._become(_unasked(self.store, ids), "")

    def go_back(self, *, drop: bool) -> None:
        """Back to the player who was open before; the linked one stays in the list or is dropped."""
        if self.question is not None:
            linked, mine = self.question
            what = "linked player removed" if drop else "player opened"
            store = self._without(linked.id) if drop else _unasked(self.store, (linked.id, mine.id))
            self._become(replace(store, open=mine.id), what)

    def holds(self, text: str) -> bool:
        """Whether every player of a saved store is here."""
        try:
            doc = json.loads(text)
        except (ValueError, RecursionError):
            return False
        if not isinstance(doc, dict) or newer(doc):
            return False
        here = [e.case for e in self.store.players]
        entries = entries_of(doc, [])
        return bool(entries) and all(e.case in here or is_untouched(e.case) for e in entries)

    def to_doc(self) -> dict[str, Any]:
        """The store document, as saved on the device."""
        doc = self._heading() | {"players": [entry_doc(e) for e in self.store.players]}
        earlier, steps = self._steps()
        undo = [*earlier, *(step | {"players": [entry_doc(e) for e in entries]} for step, entries in steps)]
        return doc | {"undo": undo} if undo else doc

    def _steps(self) -> tuple[list[dict[str, Any]], list[tuple[dict[str, Any], list[Entry]]]]:
        """The last steps back as they are saved: those from before this visit, and those of it, each with the players
        whom it changed, as they were."""
        out: list[tuple[dict[str, Any], list[Entry]]] = []
        after = self.store
        for store, what, _, step in reversed(self._undo):
            now, ids = {e.id: e for e in after.players}, [e.id for e in store.players]
            changed = [e for e in store.players if now.get(e.id) is not e]
            if what == FORGOTTEN or len(changed) > MOST_CHANGED or len(out) == MOST_UNDO_KEPT:
                return [], out[::-1]
            doc = {"what": what, "step": step, "open": store.open}
            if ids != [*now]:
                doc |= {"ids": ids}
            if store.asked != after.asked:
                doc |= {"asked": [list(pair) for pair in store.asked]}
            if back := [[one.entry.id, one.on] for one in store.removed if one.entry.id in now]:
                doc |= {"removed": back}
            if changed or len(doc) > 3 or store.open != after.open:  # not the units, say
                out.append((doc, changed))
            after = store
        left = MOST_UNDO_KEPT - len(out)
        return self._earlier[-left:] if left else [], out[::-1]

    def _text(self) -> str:
        """The same as text; a player's is made anew only after he was changed, since a coach may have hundreds."""

        def text(part: dict[str, Any]) -> str:
            return json.dumps(part, separators=(",", ":"), ensure_ascii=False)

        known, self._texts = self._texts, {}

        def players(entries: Collection[Entry]) -> str:
            for entry in entries:
                self._texts[id(entry)] = known.get(id(entry)) or (entry, text(entry_doc(entry)))
            return f'"players":[{",".join(self._texts[id(entry)][1] for entry in entries)}]'

        earlier, steps = self._steps()
        undo = ",".join([*map(text, earlier), *(f"{text(step)[:-1]},{players(e)}}}" for step, e in steps)])
        more = f',"undo":[{undo}]' if undo else ""
        return f"{text(self._heading())[:-1]},{players(self.store.players)}{more}}}"

    def _heading(self) -> dict[str, Any]:
        """All of the store document but the players."""
        store = self.store
        return {
            "format": STORE_FORMAT,
            "version": VERSION,
            "units": store.units,
            "look": {"theme": store.theme, "contrast": store.contrast, "size": store.size},
            "columns": {key: dict(value) for key, value in store.columns.items()},
            "open": store.open,
            "asked": list(store.asked[0]) if store.asked else None,
            **({"waiting": [list(pair) for pair in store.asked[1:]]} if store.asked[1:] else {}),
            **({"bags": template_docs(store.templates)} if store.templates else {}),
            **(
                {"removed": [entry_doc(one.entry) | {"removed": one.on} for one in gone]}
                if (gone := store.removed)
                else {}
            ),
            **({"at_hand": kept} if (kept := store.at_hand.to_doc()) else {}),
            **({"hitting": list(store.hitting)} if store.hitting[1] else {}),
            **({"early": {key: list(value) for key, value in store.early.items()}} if store.early else {}),
        }

    def take_file(self, text: str) -> str:
        """Add what a file holds, one case or a whole list, to the players; says what was done, never
        raises."""
        if len(text) > MOST_FILE:
            return "This file is too long to be one of ours. Nothing was changed."
        if not text.strip():
            return "This file is empty. Nothing was changed."
        try:
            doc = json.loads(text)
        except (ValueError, RecursionError) as error:
            ends = getattr(error, "pos", 0) >= len(text.rstrip()) - 1 or "Unterminated" in str(error)
            if ends and text.lstrip().startswith("{"):
                return "This file was cut short. Nothing was changed."
            if garbage(text):
                return "This file holds neither players nor balls. Nothing was changed."
            return "This file holds no player. A table or a list of balls is opened under Hit. Nothing was changed."
        if isinstance(doc, dict) and newer(doc):
            return "This file was made by a newer version; reload to get the newest one and open it again."
        if isinstance(doc, dict) and doc.get("format") == STORE_FORMAT:
            notes: list[str] = []
            entries = entries_of(doc, notes)
            self.notices.extend(notes[:6])
            return self._take_players(entries, templates_of(doc), str(doc.get("units")))
        if not (isinstance(doc, dict) and doc.get("format") == "fettle-case"):
            return "This file is not one of ours: it holds no player. Nothing was changed."
        restored = restore(doc)
        if any(e.case == restored.case for e in self.listed):
            return "This player is here already, just as in the file. Nothing was changed."
        home = self._home(restored.case)
        if home is None and self._among_removed(restored.case) is not None:
            said = self._take_players([Entry("", complete(restored.case))], ())
            self._note(self.store.open, *restored.notes[:6])
            return said
        if home is not None and self._nothing_new(home, restored.case):
            return f"This file holds nothing new about \u201c{self.label(home)}\u201d. Nothing was changed."
        if home is not None and self._waits(home, restored.case):
            return f"This copy of \u201c{self.label(home)}\u201d is asked about already. Nothing was changed."
        try:
            self.add_player(restored.case, OPENED, home=home)
        except CaseError as error:
            return f"{error}. Nothing was changed."
        self._note(self.store.open, *restored.notes[:6])
        if home is not None:
            return f"This file is a copy of \u201c{home.name}\u201d, who is here: choose at the top what to do with it."
        return f"\u201c{self.store.entry.name}\u201d added from the file."

    def _take_players(self, entries: Collection[Entry], bags: tuple[Template, ...], units: str = "") -> str:
        """Add the players of a file: new ones beside those here, removed ones as they were; of copies that tell anything
        new it is asked. The units of the file hold where nobody was here before."""
        players, asked = list(_begun(self.store.players)), []
        back: list[Removed] = []
        by_name: dict[str, list[Case]] = {}
        homes: dict[str, Entry] = {}
        for entry in self.listed:
            homes.setdefault(entry.case.player.id or "", entry)
        for entry in players:
            by_name.setdefault(entry.name, []).append(entry.case)
        added: list[Entry] = []
        came: list[Entry] = []
        same = left_out = 0
        for entry in entries:
            if is_untouched(entry.case):
                continue
            home = homes.get(entry.case.player.id) if entry.case.player.id else None
            alike = by_name.setdefault(entry.name, [])
            gone = None if home or entry.case in alike else self._among_removed(entry.case)
            if gone is not None and gone not in back and len(players) < MOST_PLAYERS:
                back.append(gone)
                players.append(gone.entry)
                homes[gone.entry.case.player.id or ""] = home = gone.entry
                if _holds_less(entry.case, home.case) or self._nothing_new(home, entry.case):
                    continue
                home = home if home.case.player.id else None
            if entry.case in alike or (
                home is not None and (self._nothing_new(home, entry.case) or self._waits(home, entry.case))
            ):
                same += 1
                continue
            if len(players) >= MOST_PLAYERS:
                left_out += 1
                continue
            new = replace(entry, id=free_player_id(tuple(players)))
            if home is not None:
                new = copies.opened(replace(new, trial=None, archived=False))
                asked.append((new.id, home.id))
                came.append(home)
            else:
                homes.setdefault(new.case.player.id or "", new)
                added.append(new)
            alike.append(new.case)
            players.append(new)
        if not added and not came and not back:
            if left_out:
                return (
                    f"The list holds at most {MOST_PLAYERS} players; remove some first. Nothing was changed."
                )
            if same:
                return "Every player in this file is here already. Nothing was changed."
            return "No player in this file could be read. Nothing was changed."
        names = {t.name for t in self.store.templates}
        templates = (*self.store.templates, *(t for t in bags if t.name not in names))[:MOST_TEMPLATES]
        removed = tuple(one for one in self.store.removed if one not in back)
        asked += self.store.asked
        store = replace(self.store, players=tuple(players), asked=tuple(asked), templates=templates)
        first = [*came, *added, *(one.entry for one in back)][0]
        follow = units in UNITS and units != store.units and not _begun(self.store.players)
        store = replace(store, units=units) if follow else store
        self._become(replace(store, open=first.id, removed=removed), OPENED)
        said = [f"{many(len(added), 'player')} added from the file."] if added else []
        said += map(_is_back, back)
        if came:
            few = listed([f"\u201c{e.called}\u201d" for e in came]) if len(came) < 4 else ""
            who = few or many(len(came), "player")
            said.append(f"It has news of {who}, already here: choose at the top what to do.")
        if same:
            said.append(f"{same} {'was' if same == 1 else 'were'} here already.")
        if left_out:
            said.append(f"{left_out} did not fit: the list holds at most {MOST_PLAYERS}.")
        if follow:
            said.append(f"What you type and see is in {UNITS[units]} now, as in the file.")
        return " ".join(said)

    def show_glance(self) -> None:
        """Tell the page what it may show at its next start; where something is still to be saved, such as a player whose
        link began this visit, the save does."""
        if self.store is self._kept:
            bridge.show_glance(self._glance())
        else:
            self._save_soon()

    def _glance(self) -> dict[str, Any]:
        card = self.card()
        self._carded = self.store if card else None
        return glance(self.store) | {"name": self.label(self.store.entry), "card": card}

    def flush(self) -> None:
        """Save now and bring the address up to date: with a link only if it holds all of him, and no notes or tags."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        self._save()
        if self.store is self._refused:
            return
        if self._carded is not self.store and self.solved:
            bridge.show_glance(self._glance())  # it was saved before it was solved
        open_ = not is_untouched(self.case) and link.without_own_words(self.case) == self.case
        exact = (
            link.exact(self.case, self.units) if open_ else ""
        )  # people hand on what stands in the address
        address = exact or ("" if is_untouched(self.case) else link.mark(self.store.open))
        if address != self._fragment:
            self._fragment = address
            bridge.set_link(address)
            if exact:
                self._known.append((exact, self.store.open))
        for fragment, player in self._known:
            bridge.known(fragment, player)
        self._known.clear()

    def _save(self) -> None:
        if self._saver is not None:
            self._saver.cancel()
            self._saver = None
        if self.store is not self._kept:
            # nothing new, nothing saved: a second tab that only looks must not overwrite what the first saves
            text = self._text()
            self._saved_size = len(text)
            bridge.save(text, self._glance())
            self._kept = self.store

    # inner

    def _new_id(self) -> str:
        return free_player_id(self.store.players)

    def _put(self, entry: Entry, what: str, *, together: Any = None) -> None:
        players = tuple(entry if e.id == entry.id else e for e in self.store.players)
        self._become(replace(self.store, players=players), what, together=together)

    def _become(self, store: Store, what: str, *, together: Any = None) -> None:
        """``together`` names what repeats are taken for one step of undo."""
        if store == self.store:
            return
        if what and not (together and self._undo and self._undo[-1][2] == together):
            self._undo.append((self.store, what, together, self.step))
            del self._undo[:-MOST_UNDO]
        if what:
            store = _stamped(self.store, store)
            old, new = ([(e.id, e.case.player.label) for e in one.players] for one in (self.store, store))
            if old != new:
                players = numbered(self.store.players, store.players, store.removed)
                store = replace(store, players=players)
        self.store = store
        self._after()

    def _after(self, *, save: bool = False) -> None:
        """Tell everybody, and save soon after; ``save`` first, since what is drawn may take its time."""
        if self._was_open != self.store.open:
            self._was_open = self.store.open
            self._drop_notes(lambda player: player != self.store.open)
            self._mended()
        if self._done is not None and not self.done_stands:
            self._done = None
            bridge.done("")
        if self._gathering:
            self._gathered = True
            return
        save = save or self.store.early is not self._kept.early
        if save and self._saved_size <= AT_ONCE and _loop() is not None:
            self._save()  # the page keeps what was typed there until it hears that this is stored
        try:
            self._tell()
        finally:
            self._save_soon()

    def _tell(self) -> None:
        """Tell every listener; a part of a screen that fails keeps no other from being drawn, and is told of after all."""
        failed: list[Exception] = []
        for listener in list(self._listeners):
            try:
                listener()
            except Exception as error:
                failed.append(error)
        if failed:
            raise failed[0]

    def _save_soon(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        loop = _loop()
        if loop is None:
            self.flush()
            return
        self._timer = loop.call_later(SAVE_AFTER, self.flush)
        if self._saver is None:
            self._saver = loop.call_later(SAVE_AFTER, self._save)


def _loop() -> asyncio.AbstractEventLoop | None:
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return asyncio.get_event_loop() if sys.platform == "emscripten" else None


def refusal_words(error: CaseError) -> str:
    """Why an edit was refused, for the person: an edit's own words, or what the case's reader says of the place."""
    if not error.field:
        return error.problem
    found = re.fullmatch(r"(\w+)(?:\[(\d+)\])?\.?(.*)", error.field)
    part, number, rest = found.groups() if found else (error.field, None, "")
    place = PARTS.get(part, part) if number is None else f"{ENTRIES.get(part, part)} {int(number) + 1}"
    name = re.sub(r"_(m|deg|kg|mps|rpm|c|sd)$", "", rest).replace("_", " ")
    return f"Refused, and nothing was changed: {', '.join(filter(None, (place, name)))} {error.problem}. Try another value."


PARTS = {
    "shots": "the list of shots",
    "retest": "the list of shots after the build",
    "bag": "the bag",
    "sessions": "the list of sessions",
}
ENTRIES = {
    "shots": "shot",
    "sessions": "session",
    "retest": "shot after the build",
    "bag": "club",
    "layouts": "layout",
    "jobs": "job record line",
}


def _stamped(before: Store, after: Store) -> Store:
    """The store after an edit, with the time of it beside each player whom it changed."""
    had = {e.id: e for e in before.players}

    def stamped(entry: Entry) -> Entry:
        old = had.get(entry.id)
        same = entry.changed if old is None else entry.case is old.case and entry.trial is old.trial
        return entry if same else replace(entry, changed=now())

    players = tuple(map(stamped, after.players))
    return after if players == after.players else replace(after, players=players)


def _begun(players: Collection[Entry]) -> tuple[Entry, ...]:
    """The players of whom anything was typed."""
    return tuple(e for e in players if not is_untouched(e.case) or e.trial or e.archived)


def _is_back(gone: Removed) -> str:
    return f"\u201c{gone.entry.called}\u201d had been removed on {day(gone.on[:10])} and is back in the list."


def _unasked(store: Store, ids: tuple[str, str]) -> Store:
    return replace(store, asked=tuple(pair for pair in store.asked if pair != ids))


def _are_copies(asked: tuple[Entry, Entry]) -> bool:
    ids = {e.case.player.id for e in asked}
    return len(ids) == 1 and None not in ids


def _holds_less(linked: Case, case: Case) -> bool:
    """Whether a link tells nothing of a player beyond what ``case`` tells: an older or a shortened copy."""
    if not _same(replace(case, shots=(), retest=()), replace(linked, shots=(), retest=())):
        return False
    return all(_among(getattr(linked, name), getattr(case, name)) for name in ("shots", "retest"))


def _among(few: tuple[Shot, ...], many: tuple[Shot, ...]) -> bool:
    """Whether each of the few balls is one of the many, apart from what a link rounds or leaves out."""
    left: dict[tuple[Any, ...], list[Shot]] = {}
    for shot in map(link.rounded, many):
        left.setdefault(_ball(shot), []).append(shot)
    for shot in map(link.rounded, few):
        alike = left.get(_ball(shot), [])
        found = next(
            (a for a in alike if all(getattr(shot, n) in (None, getattr(a, n)) for n in link.MEASURED)), None
        )
        if found is None:
            return False
        alike.remove(found)
    return True


def _ball(shot: Shot) -> tuple[Any, ...]:
    return shot.club, shot.carry_m, shot.grip_down_m, shot.use, shot.keep


def _same(case: Case, linked: Case) -> bool:
    """Whether a link of ``case`` opens as ``linked``; the cheap differences are looked at first."""
    if case.player.label != linked.player.label or len(case.bag) != len(linked.bag):
        return False
    if case == linked:
        return True
    opened = link.read(link.make(case).hash).case
    return opened is not None and complete(opened) == linked
