"""The glossary explains each word of the trade that stands over a column or beside a field."""

import html
import re

import panel as pn
import pytest

from app import bridge, edits, link
from app.demo import demo_case
from app.main import Page
from app.phrases.glossary import GLOSSARY
from app.phrases.swing import PARAMETERS as NAMED
from app.screens.methods import glossary
from app.widgets import Fold
from engine.swing.parameters import PARAMETERS

# words of the trade, however a label puts them, and what the glossary calls them
TRADE = {
    r"address": "address",
    r"apex": "apex",
    r"attack": "attack angle",
    r"ball speed": "ball speed",
    r"bounce": "bounce",
    r"carry|carries": "carry",
    r"club speed": "club speed",
    r"common length": "common length",
    r"descent": "descent",
    r"fairway": "fairway wood",
    r"flex": "flex",
    r"gaps?": "gap",
    r"gripped down|grip down": "grip down",
    r"head mass": "head mass",
    r"hip hinge": "hip hinge",
    r"hosel": "hosel",
    r"hybrids?": "hybrid",
    r"launch": "launch",
    r"layouts?": "layout",
    r"lies?": "lie",
    r"lofts?": "loft",
    r"moment of inertia": "moment of inertia",
    r"offline": "offline",
    r"range balls?": "range ball",
    r"run": "run",
    r"spin loft": "spin loft",
    r"spin": "spin",
    r"standard air": "standard air",
    r"swing weight": "swing weight",
    r"tip trim": "tip trim",
    r"total": "total",
    r"wedges?": "wedge",
    r"wingspan": "wingspan",
    r"wrist to floor": "wrist to floor",
    r"90 % range": "90 % range",
}


def folds(part):
    """All folds of a part of the page and of the parts it holds."""
    if isinstance(part, Fold):
        yield part
    elif isinstance(part, dict | list | tuple):
        for inner in list(part.values() if isinstance(part, dict) else part):
            yield from folds(inner)
    elif type(part).__module__.startswith("app.screens"):
        yield from folds(vars(part))


def labels(page):
    """Every label, button and column heading of every step, folds that start shut included."""
    for step in (s.id for s in page.screens):
        page.go(step)
        for fold in folds(page.here):
            if not fold.open:
                fold.toggle()
        for item in page.here.view.select():
            if isinstance(item, pn.pane.HTML) and isinstance(item.object, str):
                yield from re.findall(r"<th [^>]*scope=\"col\"[^>]*>(.*?)</th>", item.object)
            elif isinstance(item, pn.widgets.Widget):
                yield str(item.name or "")
                yield str(getattr(item, "label", "") or "")


@pytest.fixture(scope="module")
def found():
    bridge.install(None)
    case = edits.wants("layout")(demo_case(), "single")
    return {html.unescape(text) for text in labels(Page({"hash": link.make(case).hash})) if text}


def test_a_trade_word_in_a_label_is_in_the_glossary(found):
    met = {
        word
        for pattern, word in TRADE.items()
        for text in found
        if re.search(rf"(?i)(?<!\w)(?:{pattern})(?!\w)", text.replace("\u00a0", " "))
    }
    assert len(found) > 80, "the walk met too few labels to tell"
    assert {"carry", "loft", "lie", "descent", "launch", "swing weight", "hip hinge", "wingspan"} <= met
    assert sorted(met - set(GLOSSARY)) == []


def test_every_word_a_column_is_headed_by_is_plain_or_explained(found):
    """A heading of one or two words is a word of the trade, or one of these plain ones."""
    from_glossary = {part for word in GLOSSARY for part in word.split()}
    heads = {re.sub(r"<[^>]+>|\([^)]*\)|[^a-z ]", "", text.lower()).strip() for text in found}
    guess = {"holds", "adds", "standing", "unevenness", "leaves", "doubt"}
    assert sorted(h for h in heads if set(h.split()) & (guess - from_glossary)) == []


@pytest.mark.parametrize("word", sorted(GLOSSARY))
def test_one_plain_sentence_each(word):
    text = GLOSSARY[word]
    assert text[0].isupper() or text[0].isdigit()
    assert text.endswith(".") and len(re.findall(r"\.(?=\s|$)", text)) == 1 and len(text) < 130
    assert f">{word.replace(chr(32) + chr(37), chr(160) + chr(37))}<" in glossary()


def test_words_of_the_bench_are_explained():
    assert {"upright", "flat", "strong", "weak", "butt", "ferrule", "sleeve"} <= GLOSSARY.keys()


def test_every_parameter_of_the_swing_has_a_name_in_words():
    assert {p.name for p in PARAMETERS} <= NAMED.keys()
