"""A made-up player to look around with. Nobody was measured: every number was invented here."""

from __future__ import annotations

from dataclasses import replace

from app.players import default_layouts, norm_bag
from engine.documents.case import Case, Player, Shot

LABEL = "Demo: Orla Winterbourne (invented)"
_BALLS: tuple[tuple[str, float, tuple[float, ...]], ...] = (
    ("7i", 0.0, (129.0, 133.0, 126.5, 131.0, 96.0, 134.5, 128.0, 130.0)),
    ("9i", 0.0, (109.0, 106.0, 111.5, 108.0, 110.0, 104.5)),
    ("5i", 0.0, (145.0, 151.0, 141.5, 147.0, 149.5, 138.0)),
    ("7i", 0.0508, (125.0, 122.5, 127.5, 124.0, 128.0)),
)


def demo_case() -> Case:
    """A tall player with long arms, four clubs' worth of balls, one of them topped, one club also
    gripped down."""
    bag = norm_bag("female")
    ids = {club.id for club in bag}
    shots = tuple(
        Shot(club, carry_m=carry, grip_down_m=grip)
        for club, grip, carries in _BALLS
        if club in ids
        for carry in carries
    )
    player = Player(label=LABEL, sex="female", handed="right", height_m=1.81, wingspan_m=1.88)
    return replace(Case(player=player, bag=bag, shots=shots), layouts=default_layouts(bag))
