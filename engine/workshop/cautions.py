"""Usual cautions for bench, range and body, as data: shown beside the step they belong to and once on the sheet.

Usual workshop practice. Local codes, the maker's sheet of each product, and a qualified club builder come first.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution and the kind of work it goes with."""

    id: str
    work: str
    text: str


CAUTIONS: dict[str, Caution] = {
    c.id: c
    for c in (
        Caution(
            "bend",
            "bending loft or lie",
            "Bending can crack a hosel and fling parts. Wear eye protection, clamp the head in a bending "
            "machine made for it, move in small steps, measure each time, and stop at the limit of the "
            "head or when it resists or creaks. Cast and plated heads give way with little warning; never "
            "bend a head of unknown material by eye.",
        ),
        Caution(
            "cut",
            "cutting and sanding shafts",
            "Cut ends are sharp, and dust of carbon fibre and metal harms lungs, eyes and skin. Wear eye "
            "protection, a dust mask that fits and gloves for handling, use extraction, and wipe up wet. "
            "Clamp the shaft; never cut towards a hand.",
        ),
        Caution(
            "grind",
            "grinding heads",
            "Grinding throws sparks and metal dust. Wear a face shield, keep the guard on and flammables "
            "away, and do not breathe dust of plated heads. Grinding can take a head out of the rules.",
        ),
        Caution(
            "epoxy",
            "epoxy and solvents",
            "Epoxy and grip solvents irritate skin and lungs and some of them burn. Wear gloves, air the "
            "room, keep away from flames, follow the product's safety sheet, and let the joint cure in "
            "full before a swing.",
        ),
        Caution(
            "heat",
            "heating a joint",
            "A heated hosel burns skin, overheated epoxy gives off harmful fumes, and heat ruins a "
            "carbon-fibre shaft. Use just enough heat, pull straight, never twist, air the room, and let "
            "the head cool where nobody touches it.",
        ),
        Caution(
            "extend",
            "extending a shaft",
            "An extension weakens the butt and a loose one lets the club fly. Keep it short, glue it over "
            "its whole length, and have a new shaft fitted where more than about an inch is wanted.",
        ),
        Caution(
            "weight",
            "adding head weight",
            "A loose weight or an overfull hosel can let a head fly off. Fix weights as their maker says, "
            "leave the shaft its full depth in the hosel, and pull-test before the first swing.",
        ),
        Caution(
            "builder",
            "all machine and shop work",
            "Local codes and a qualified club builder decide. Where you lack the machine, the training or "
            "the head's limits, let a builder do it.",
        ),
        Caution(
            "body",
            "posture and swing",
            "This is not medical advice. Pain means stop; ask a licensed professional before changing how "
            "you stand or swing if you have, or have had, an injury.",
        ),
        Caution(
            "range",
            "hitting balls",
            "Hit only where the landing area is clear and nobody stands near the swing or ahead of it.",
        ),
        Caution(
            "lightning",
            "weather",
            "Stop and leave for a safe shelter at the first thunder or lightning.",
        ),
        Caution(
            "rules",
            "rules",
            "The rule book of the day and the committee in charge decide what may be played.",
        ),
    )
}


def cautions(*ids: str) -> tuple[Caution, ...]:
    """Cautions of these ids, each once, in the order of the table."""
    return tuple(c for c in CAUTIONS.values() if c.id in ids)
