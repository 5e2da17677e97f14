"""The sections of the result document beyond the carries, and the whole document."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from engine.case import Case
from engine.clubs.sheet import BuildSheet, build_sheet
from engine.fitting.makeup import best_bag
from engine.fitting.work import Work
from engine.rules import RulesCheck, check_bag
from engine.solve import DRAWS
from engine.statistics import plain


def build(work: Work) -> BuildSheet:
    """Work that turns the present clubs into those of the layout to build."""
    return build_sheet(work.present, work.clubs)


def rules(work: Work) -> RulesCheck:
    """The bag of the layout to build, putters with it, against the rules."""
    return check_bag((*work.clubs, *work.putters))


SECTIONS: dict[str, Callable[[Work], Any]] = {
    "build": build,
    "make_up": best_bag,
    "rules": rules,
}
"""Key in the result document, and what makes it; ``None`` where the case holds nothing to make it from."""


def document(case: Case, *, draws: int = DRAWS) -> dict[str, Any]:
    """The whole result document of a case: all that `engine.solve.solve` says, and every section."""
    work = Work(case, draws)
    doc = work.result.to_doc()
    doc["layout_to_build"] = work.layout.id
    for name, make in SECTIONS.items():
        doc[name] = plain(make(work))
    return doc
