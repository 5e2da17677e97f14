"""What a case stands for that names no clubs or no layouts: the usual bag, and what it is usually compared with."""

from __future__ import annotations

from dataclasses import replace

from ..documents.case import Case, Layout
from ..workshop.norms import norm_bag

DEFAULT_LAYOUTS = (Layout("now", "present"), Layout("stepped", "stepped"), Layout("single", "single"))


def complete(case: Case) -> Case:
    """The case with the usual bag and the usual layouts where it names none."""
    return replace(case, bag=case.bag or norm_bag(case.player.sex), layouts=case.layouts or DEFAULT_LAYOUTS)
