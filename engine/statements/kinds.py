"""The closed list of the kinds of statements."""

from __future__ import annotations

from collections.abc import Mapping

from .bag import BAG, BODY
from .sets import SETS
from .spec import Spec
from .swing import SWING
from .workshop import NOTES, WORKSHOP

KINDS: Mapping[str, Spec] = SETS | SWING | BAG | BODY | WORKSHOP | NOTES
