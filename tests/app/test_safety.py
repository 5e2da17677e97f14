"""Where work or play can hurt somebody, the caution stands on that very screen, and says who decides."""

import html
import re

import panel as pn
import pytest

from app import bridge, edits, link
from app.demo import demo_case
from app.main import Page
from app.widgets import Fold


@pytest.fixture(scope="module")
def page():
    bridge.install(None)
    page = Page({"hash": link.make(demo_case()).hash})
    page.state.change(lambda case: edits.wants("layout")(case, "single"), "set to build")
    page.state.change(edits.as_measured(["7i"]), "measured")  # else no head is bent to its lie
    return page


def shown(page: Page, step: str) -> str:
    """The words of a step as a person reads them, folds that start shut included."""
    page.go(step)
    for fold in list(vars(page.here).values()):
        if isinstance(fold, Fold) and not fold.open:
            fold.toggle()
    texts = [item.object for item in page.here.view.select(pn.pane.HTML) if isinstance(item.object, str)]
    plain = re.sub(r"<[^>]+>", " ", " ".join(texts))
    return re.sub(r"\s+", " ", html.unescape(plain)).lower()


# What must be said where; each row is one danger and the words that name it and the way round it.
NEEDED = [
    ("build", ("bend", "crack", "eye protection")),
    ("build", ("dust", "mask")),
    ("build", ("sharp",)),
    ("build", ("epoxy", "gloves")),
    ("build", ("heat",)),
    ("build", ("local codes", "qualified club builder")),
    ("build", ("committee", "rule book")),
    ("build", ("first swing",)),
    ("play", ("lightning",)),
    ("play", ("landing area", "clear")),
    ("play", ("pain", "stop", "professional")),
    ("hit", ("landing area", "clear")),
    ("hit", ("pain", "stop")),
    ("layout", ("pain means stop", "professional")),
    ("methods", ("not medical advice",)),
]


@pytest.mark.parametrize(("step", "words"), NEEDED, ids=lambda v: v if isinstance(v, str) else "-".join(v))
def test_the_caution_stands_where_it_is_needed(page, step, words):
    text = shown(page, step)
    assert [w for w in words if w not in text] == []


@pytest.mark.parametrize(
    ("step", "words"), [("build", ("epoxy",)), ("build", ("crack",)), ("measure", ("lightning",))]
)
def test_where_there_is_no_such_danger_nobody_is_warned_of_it(step, words):
    """Cautions about work stand on a sheet with that work only; else they are no longer read."""
    bridge.install(None)
    page = Page({"hash": link.make(demo_case()).hash})  # the present set: nothing is to be done to it
    text = shown(page, step)
    assert [w for w in words if w in text] == []
