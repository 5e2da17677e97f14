"""The door between the dashboard and the page around it.

The page (or the worker that runs Python) calls ``install(post)`` once, with ``post(kind, payload)``.
Until then, and in
a plain ``panel serve``, messages are kept for tests to read and otherwise go nowhere, so that the
dashboard works alone.

Outward kinds and what their payload holds:

==========  =============================================================================================
save        ``text``: the whole store of this device, to be kept and handed back at the next start; ``glance``: the little
            of it that the page shows before the dashboard is there (`app.glance`), and in it ``card``, the carry card,
            where it is worked out
glance      as with a save, for what is saved already
link        ``hash``: ``#v1....``, ``#player-...`` or nothing; replace the address' fragment, no history entry,
            no reload
opened      ``id``: of the player who is open now
known       ``hash``, ``player``: all that this fragment holds of this player has been given to be saved; once it
            is stored, the fragment tells nothing new
taken       ``reply``: that of a ``take``; ``whole``: whether all of its players are here now
download    ``name``, ``mime``, ``text``: offer a file
print       ``page``: ``sheet``, ``card`` or ``pocket``; sets ``data-print``
share       ``title``, ``hash``: share sheet if there is one, else copy the whole address to the clipboard
announce    ``text``: say it in a polite live region
look        ``theme``: ``auto``, ``light``, ``dark``; ``contrast``: ``normal``, ``high``;
            ``size``: ``normal``, ``large``;
            set ``data-theme``, ``data-contrast``, ``data-size`` on the document root and remember them
step        ``step``: the id of the step now shown; scroll to the top; ``back``: the page asked for it, so that it
            is no new entry of the history
picture     ``name``, ``title``, ``png``: save the drawing with that CSS class as a picture, line work too as PNG
refusal     ``text``: an edit was refused and nothing was changed; show it over the page; empty: it has been mended
done        ``text``: what was taken away; show it over the page, with ``undo`` if that is offered; empty: put it away
returned    ``text``: a number typed under Hit was not taken; it goes back into its field unless the next one is
            being typed there
==========  =============================================================================================

Inward kinds for ``receive``: ``flush`` (page is being hidden: save now), ``hash`` (``hash``, ``owner``: a link was
opened in this page; ``owner`` is the player for whom it is ``known``, or empty), ``take`` (``text``: a store whose
players are to be added; ``reply``: to be answered with), ``look`` (as above, remembered from last time), ``entered``
(``id``, of the page, and ``numbers``: what was typed under Hit, in its order, each ``text``, ``number`` among the
entries of the page, and ``mends``, whether it was made from one that had come back), ``begin`` (``hash``, ``owner``,
``saved``: what this person has, for a dashboard that a memory image brought back blank), ``go`` (``step``: to be shown,
after the browser's back or a new start), ``player`` (``player``: the id of one whose name in the list was pressed),
``line`` (``text`` of a field that the page frees at Enter, by its ``label``),
``undo`` (of what the last ``done`` told), ``started`` (``how``: in which way this start was made), ``early`` (what was
typed before the dashboard was there, or in a page that died: ``entries``, each a kind and a text, a carry with its
club, a ball with all that was chosen for it, or a club that was chosen, of which the first has the number ``first``;
``id``, of the page they were typed in, and ``player``, who was shown there or nobody yet; ``after``, the page whose
entries it went on with).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Post = Callable[[str, dict[str, Any]], None]
Listener = Callable[[dict[str, Any]], None]

address = ""  # of the page, without its fragment: what a link or a QR code begins with
_post: Post | None = None
_listeners: dict[str, list[Listener]] = {}
outbox: list[tuple[str, dict[str, Any]]] = []
MOST_KEPT = 50


def install(post: Post | None) -> None:
    """Send what the dashboard says to ``post``; ``None`` takes it out again."""
    global _post
    _post = post


def send(kind: str, payload: dict[str, Any]) -> None:
    """Hand one message to the page; a page that fails must not take the dashboard with it."""
    if _post is None:
        outbox.append((kind, payload))
        del outbox[:-MOST_KEPT]
        return
    try:
        _post(kind, payload)
    except Exception as error:  # whatever the page throws, the player's work goes on
        print(f"the page did not take {kind!r}: {error}")


def receive(kind: str, payload: dict[str, Any] | None = None) -> None:
    """Take one message from the page; unknown kinds are ignored."""
    for listener in list(_listeners.get(kind, ())):
        listener(dict(payload or {}))


def listen(kind: str, listener: Listener) -> None:
    """Call ``listener(payload)`` for every message of this kind."""
    _listeners.setdefault(kind, []).append(listener)


def forget() -> None:
    """Drop all listeners: a new document begins."""
    _listeners.clear()


def save(text: str, glance: dict[str, Any]) -> None:
    send("save", {"text": text, "glance": glance})


def show_glance(glance: dict[str, Any]) -> None:
    send("glance", glance)


def set_link(hash_: str) -> None:
    send("link", {"hash": hash_})


def show_player(player: str) -> None:
    send("opened", {"id": player})


def known(hash_: str, player: str) -> None:
    send("known", {"hash": hash_, "player": player})


def taken(reply: object, whole: bool) -> None:
    send("taken", {"reply": reply, "whole": whole})


def download(name: str, mime: str, text: str) -> None:
    send("download", {"name": name, "mime": mime, "text": text})


def print_page(page: str) -> None:
    send("print", {"page": page})


def share(title: str, hash_: str) -> None:
    send("share", {"title": title, "hash": hash_})


def announce(text: str) -> None:
    send("announce", {"text": text})


def look(theme: str, contrast: str, size: str) -> None:
    send("look", {"theme": theme, "contrast": contrast, "size": size})


def step(step_id: str, *, back: bool = False) -> None:
    send("step", {"step": step_id, "back": back})


def refuse(text: str) -> None:
    send("refusal", {"text": text})


def done(text: str, *, undo: bool = False) -> None:
    send("done", {"text": text, "undo": undo})


def give_back(text: str) -> None:
    send("returned", {"text": text})


def picture(name: str, title: str, *, png: bool = False) -> None:
    send("picture", {"name": name, "title": title} | ({"png": True} if png else {}))
