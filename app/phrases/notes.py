"""Cautions, and the notes that stand beside a table: what holds whatever the numbers are."""

from __future__ import annotations

from app.phrases.say import ONLY_A_START, Phrase, Say, fixed

CAUTION_TITLES = {
    "bend": "Bending loft or lie",
    "cut": "Cutting and sanding shafts",
    "grind": "Grinding heads",
    "epoxy": "Epoxy and solvents",
    "heat": "Heating a joint",
    "grip": "Taking grips off and on",
    "extend": "Extending a shaft",
    "weight": "Adding head weight",
    "builder": "All workshop work",
    "body": "Posture and swing",
    "range": "Hitting balls",
    "lightning": "Weather",
    "rules": "Rules",
}
"""What each caution is about."""

_CAUTIONS = {  # short: all of those that a sheet needs are printed with it on one page
    "bend": "Bending can crack a hosel and fling parts. Wear eye protection, clamp the head in a bending machine made for "
    "it, bend in small steps, measure each time, and stop at the head\u2019s limit or when it resists or creaks. Cast and "
    "plated heads give way with little warning; never bend a head of unknown material by eye.",
    "cut": "Cut ends are sharp, and carbon-fibre and metal dust harms lungs, eyes and skin. Wear eye protection, a dust "
    "mask that fits and gloves for handling, use extraction, and wipe up wet. Clamp the shaft; never cut towards a hand.",
    "grind": "Grinding throws sparks and metal dust. Wear a face shield, keep the guard on and flammables away, and do not "
    "breathe dust from plated heads. Grinding can make a head illegal.",
    "epoxy": "Epoxy and its solvents irritate skin and lungs, and some burn. Wear gloves, air the room, keep away from "
    "flames, follow the product\u2019s safety sheet, and let the joint cure fully before any swing.",
    "heat": "A heated hosel burns skin, overheated epoxy gives off harmful fumes, and heat ruins a carbon-fibre shaft. Use "
    "just enough heat, pull straight, never twist, air the room, and let the head cool where nobody touches it.",
    "grip": "Cut an old grip away from you with a hooked blade, never towards a hand. Grip solvent irritates and burns "
    "easily: wear gloves, air the room, keep away from flames.",
    "extend": "An extension weakens the butt, and a loose one lets the club fly. Keep it short and glue its whole length; "
    "where that is not long enough, fit a new shaft.",
    "weight": "A loose weight or an overfilled hosel can let a head fly off. Fix weights as their maker says, leave the "
    "shaft its full depth in the hosel, and pull-test before the first swing.",
    "builder": "Local codes and a qualified club builder have the last word. If you lack the machine, the training or the "
    "head\u2019s limits, use a builder.",
    "body": "This is not medical advice. Pain means stop; ask a licensed professional before changing your stance or swing "
    "if you have, or have had, an injury.",
    "range": "Hit only when the landing area is clear and nobody stands near the swing or ahead of it.",
    "lightning": "Stop and leave for a safe shelter at the first thunder or lightning.",
    "rules": "The current rule book and the committee in charge decide what may be played.",
}


def _dynamic_lie(say: Say) -> str:
    return (
        "Static lie is how the sole sits at address, dynamic lie how it sits at impact. In between, the hands rise by "
        f"{say.bare('least')} to {say['most']} and the shaft bows toe-down, so a club that looks toe-up at address may be "
        "right."
    )


def _lie_board(say: Say) -> str:
    return (
        "Check with tape on the sole and a lie board, hitting real shots. A mark in the middle is right; a mark "
        f"{say['mark']} towards the toe means about {say['angle']} too flat, towards the heel as much too upright."
    )


PHRASES: dict[str, Phrase] = {f"caution.{name}": fixed(text) for name, text in _CAUTIONS.items()} | {
    "note.flex": fixed(
        "There is no standard for flex, and it does little to average speed; near a border, try both and let the ball "
        "flight decide."
    ),
    "note.grip": lambda say: (
        f"Near a border, try both sizes. A thicker grip is often heavier: {say['mass']} more takes about one point off "
        "the swing weight."
    ),
    "note.lie_after_bend": fixed(
        "Measure the lie again after each loft bend: the bar moves both. A head bent strong also has more offset and less "
        "bounce, one bent weak less offset and more bounce."
    ),
    "note.posture": fixed(
        f"{ONLY_A_START} The hands rise and the shaft bows toe-down "
        "before impact, so check the lie with a lie board or a line on the ball, hitting real shots."
    ),
    "note.body": fixed(
        f"{ONLY_A_START} This is not medical advice: pain means stop, and ask a licensed professional."
    ),
    "note.putter": fixed(
        "Static measurements are only a start. Settle the length with the eyes over or just inside the ball and the arms "
        "hanging, the lie with the sole flat, and the loft on the greens you play."
    ),
    "note.rules": fixed(
        "Measurements entered are checked, not the clubs. The current rule book and the committee in charge decide."
    ),
    "note.shafts": fixed(
        "Shaft mass, flex and tip trim are starting points; the maker\u2019s trim chart for the shaft comes first."
    ),
    "note.strike_scatter": fixed(
        "How much strikes scatter, and how much more they do with a longer driver, is common practice and was not measured "
        "here. Mark the face with powder or tape, hit ten balls at each of two lengths, and trust that first."
    ),
    "check.dynamic_lie": _dynamic_lie,
    "check.lie_board": _lie_board,
    "check.line_on_ball": fixed(
        "Or draw an upright line on the back of the ball with a marker and see how it prints on the face: a mark whose "
        "top leans to the heel means too flat, to the toe too upright. On turf, divots deeper at the toe mean too flat."
    ),
    "check.start_direction": fixed(
        "Shots that start or curve steadily to one side may come from face and path as well as from the lie: let the board "
        "or the ink mark decide."
    ),
}
