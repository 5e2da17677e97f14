"""The closed list of the kinds of statements."""

from __future__ import annotations

from collections.abc import Mapping

from engine.statements.bag import BAG, BODY
from engine.statements.reading import READING
from engine.statements.sets import SETS
from engine.statements.spec import Spec
from engine.statements.swing import SWING
from engine.statements.workshop import NOTES, WORKSHOP

KINDS: Mapping[str, Spec] = SETS | SWING | BAG | BODY | WORKSHOP | NOTES | READING
