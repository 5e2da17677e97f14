"""The result document: what the engine makes of a case. SI, degrees, rpm; every estimate with its 90 % interval."""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ..sets.compare import Comparison, Gap
from ..sets.verdict import Verdict
from ..shots.summary import Summary
from ..statements import LayoutName, Statement
from ..statistics import Interval, plain
from .case import Conditions

FORMAT = "fettle-result"
VERSION = 1


class _Document:
    """A frozen part of the result whose document has the names of its fields."""

    def to_doc(self) -> dict[str, Any]:
        return {f.name: plain(_bare(getattr(self, f.name))) for f in dataclasses.fields(self)}  # type: ignore[arg-type]


def _bare(value: Any) -> Any:
    if isinstance(value, (Comparison, Gap, Conditions, LayoutName)):
        return {f.name: getattr(value, f.name) for f in dataclasses.fields(value)}
    if isinstance(value, tuple):
        return [_bare(v) for v in value]
    return value


@dataclass(frozen=True)
class ShotGroup(_Document):
    """Carries of one club at one grip, robustly summarised [m].

    ``mishits`` lists ``[index into the case's shots, reason]``; ``balls_for_2m`` are those still needed for a mean
    known to +/- 2 m at 90 %; ``mean_in_air_m`` is the mean as in the air that carries are predicted for and with a good
    ball, ``None`` for part swings.
    """

    club: str
    grip_down_m: float
    n: int
    left_out: int
    carry_m: Summary
    balls_for_2m: int
    mishits: tuple[tuple[int, Statement], ...]
    mean_in_air_m: float | None = None


@dataclass(frozen=True)
class ParameterResult(_Document):
    """A swing parameter before and after the shots: ``(mean, sd)``."""

    name: str
    unit: str
    prior: tuple[float, float]
    posterior: tuple[float, float]

    @property
    def plainly(self) -> tuple[str, tuple[float, float], tuple[float, float]]:
        """Unit, prior and posterior of the quantity itself where the parameter is its logarithm; sd to first order."""
        inside = re.fullmatch(r"log\((.+)\)", self.unit)
        if inside is None:
            return self.unit, self.prior, self.posterior
        before, after = ((math.exp(mean), math.exp(mean) * sd) for mean, sd in (self.prior, self.posterior))
        return inside[1], before, after


@dataclass(frozen=True)
class LeftOutCheck(_Document):
    """A club as measured and as all the others predict it [m]."""

    club: str
    measured_m: float
    predicted_m: Interval


@dataclass(frozen=True)
class Calibration(_Document):
    """Whether the fit settled, what it learned, and how it predicts each club from the others."""

    converged: bool
    status: str
    parameters: tuple[ParameterResult, ...]
    left_out_check: tuple[LeftOutCheck, ...]
    doubted: tuple[str, ...]
    carry_spread: float


@dataclass(frozen=True)
class ClubResult(_Document):
    """A club of a layout as built and as it would play; ``estimated`` names the figures that nobody knows.

    With ``hit_first`` nobody hit it, and its carry is known too little to go by.
    """

    id: str
    name: str
    family: str
    length_m: float
    loft_deg: float
    lie_deg: float
    head_kg: float
    club_speed_mps: float
    ball_speed_mps: float
    launch_deg: float
    spin_rpm: float
    carry_m: Interval
    apex_m: float
    descent_deg: float
    hip_hinge_deg: float | None
    estimated: tuple[str, ...] = ()
    hit_first: bool = False


@dataclass(frozen=True)
class LayoutResult(_Document):
    """A layout: its clubs, the gaps between them, and what sums it up."""

    id: str
    kind: str
    called: LayoutName
    clubs: tuple[ClubResult, ...]
    gaps: tuple[Gap, ...]
    summary: dict[str, Any]


@dataclass(frozen=True)
class Advice(_Document):
    """One thing to do or know, why, and how sure; ``topic`` groups advice for the screens.

    ``layouts`` are the ids of those it is about; of a verdict the other set and the base it is weighed against.

    what, why : the same in words, where a caller had them put (`Result.in_words`)
    """

    statement: Statement
    reasons: tuple[Statement, ...]
    chance: float | None
    topic: str = "set"
    layouts: tuple[str, ...] = ()
    what: str | None = None
    why: str | None = None


@dataclass(frozen=True)
class Result:
    """All that `engine.solve.solve` has to say about a case.

    differences : what one layout has over another, surest first; warnings : `warning_statements` in words, where a caller
    had them put
    """

    engine: str
    reference_air: Conditions
    shots: tuple[ShotGroup, ...]
    calibration: Calibration
    layouts: tuple[LayoutResult, ...]
    comparison: tuple[Comparison, ...]
    verdict: Verdict | None
    differences: tuple[Statement, ...]
    advice: tuple[Advice, ...]
    warning_statements: tuple[Statement, ...]
    warnings: tuple[str, ...] = ()

    def layout(self, layout_id: str) -> LayoutResult:
        """The layout with this id; `KeyError` if there is none."""
        for layout in self.layouts:
            if layout.id == layout_id:
                return layout
        raise KeyError(layout_id)

    def in_words(self, words: Callable[[Statement], str]) -> Result:
        """The same with ``what`` and ``why`` of the advice and the warnings filled in by ``words``."""
        return dataclasses.replace(
            self,
            advice=tuple(
                dataclasses.replace(a, what=words(a.statement), why=" ".join(words(r) for r in a.reasons))
                for a in self.advice
            ),
            warnings=tuple(words(w) for w in self.warning_statements),
        )

    def to_doc(self) -> dict[str, Any]:
        """The JSON result document."""
        doc: dict[str, Any] = {"format": FORMAT, "version": VERSION}
        doc.update({f.name: plain(_bare(getattr(self, f.name))) for f in dataclasses.fields(self)})
        return doc
