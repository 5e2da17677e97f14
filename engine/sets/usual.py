"""What a case stands for that names no clubs or no layouts: the usual bag, and what it is usually compared with."""

from __future__ import annotations

from dataclasses import replace

from ..documents.case import Case, Layout
from ..workshop.estimates import with_estimates
from ..workshop.norms import norm_bag

DEFAULT_LAYOUTS = (Layout("now", "present"), Layout("stepped", "stepped"), Layout("single", "single"))


def complete(case: Case) -> Case:
    """The case with the usual bag and the usual layouts where it names none, and with every figure of a club."""
    made = replace(case, bag=case.bag or norm_bag(case.player.sex), layouts=case.layouts or DEFAULT_LAYOUTS)
    return estimated(made)


def estimated(case: Case) -> Case:
    """The case with what nobody knows of its clubs estimated; the same case where nothing changes."""
    bag = with_estimates(case.bag, sex=case.player.sex)
    return case if all(a is b for a, b in zip(bag, case.bag, strict=True)) else replace(case, bag=bag)
