"""Fettle's engine: from body and measured carries to a set of clubs, in numpy and scipy alone.

Installed by ``pip install .`` it is called ``fettle``. A case is what is known of one player, as a document; what follows
from it is made when it is first asked for:

>>> from engine import Fitting, document, read_case
>>> case = read_case({
...     "format": "fettle-case",
...     "version": 1,
...     "player": {"height_m": 1.81, "sex": "female"},
...     "bag": [
...         {"id": "5i", "family": "iron", "length_m": 0.965, "loft_deg": 24, "lie_deg": 61, "head_kg": 0.254},
...         {"id": "7i", "family": "iron", "length_m": 0.94, "loft_deg": 31, "lie_deg": 62.25, "head_kg": 0.268},
...     ],
...     "shots": [{"club": "7i", "carry_m": metres} for metres in (131, 128, 133)],
... })
>>> fitting = Fitting(case)
>>> [club.id for club in fitting.result.layout("now").clubs]
['5i', '7i']
>>> seven = fitting.result.layout("now").clubs[1].carry_m
>>> seven.lo90 < 131 < seven.hi90
True
>>> document(case)["format"]
'fettle-result'

Lengths are in metres, speeds in metres a second, masses in kilograms, angles in degrees, spin in revolutions a minute.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .documents.case import Case, CaseError
    from .documents.reading import Restored, read_case, restore
    from .documents.result import Result
    from .fitting.fitting import Fitting
    from .fitting.sections import SECTIONS, document
    from .statements import Quantity, Statement, statement_of

__version__ = "0.1.0"
__all__ = [
    "SECTIONS",
    "Case",
    "CaseError",
    "Fitting",
    "Quantity",
    "Restored",
    "Result",
    "Statement",
    "__version__",
    "document",
    "read_case",
    "restore",
    "statement_of",
]

# Brought in when first asked for: the page starts before scipy is there.
_HOMES = {
    "Case": "documents.case",
    "CaseError": "documents.case",
    "Fitting": "fitting.fitting",
    "Quantity": "statements",
    "Restored": "documents.reading",
    "Result": "documents.result",
    "SECTIONS": "fitting.sections",
    "Statement": "statements",
    "document": "fitting.sections",
    "read_case": "documents.reading",
    "restore": "documents.reading",
    "statement_of": "statements",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f".{_HOMES[name]}", __name__), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
