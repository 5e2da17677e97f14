"""The build sheet in words: work on a club, what cannot be done, parts, and the rules. Phrases are parts of a list."""

from __future__ import annotations

from app.phrases.say import Phrase, Say, fixed


def _limit_extension(say: Say) -> str:
    return (
        f"{say['longer']} longer is more than an extension allows: {say['reaches']} is the most; for more, fit a new "
        "shaft"
    )


def _limit_bend(say: Say) -> str:
    sides = [f"{name} to {say[name]}, not {say[f'wanted_{name}']}" for name in ("loft", "lie") if name in say]
    material = f"{say.term('material')} " if say.term("material") else ""
    return f"this {material}head bends only {say['limit']}: {', '.join(sides)}; for more, use another head"


def _parts_club(say: Say) -> str:
    needs = [f"{say['mass']} of head weight"] if "mass" in say else []
    needs += [_NEEDS[need] for need in say.terms("needs") if need != "shaft"]
    other = (
        [f"another head (loft {say['other_loft']}, lie {say['other_lie']}, {say['other_mass']})"]
        if "other_loft" in say
        else []
    )
    other += ["a new shaft"] * ("shaft" in say.terms("needs"))
    return f"{say.club}: " + "; or ".join([", ".join(needs), *other] if needs else other)


_NEEDS = {"grip": "grip", "extension": "butt extension"}


def _rule_length(say: Say) -> str:
    if "most" in say:
        return f"length {say['length']}; the rules allow {say.bare('least')} to {say['most']}"
    return f"length {say['length']}; the rules ask for at least {say['least']}"


PHRASES: dict[str, Phrase] = {
    "work.none": fixed("leave as it is"),
    "work.build_new": fixed("build new"),
    "work.add_mass": lambda say: f"add {say['mass']} to the head",
    "work.remove_mass": lambda say: f"grind {say['mass']} off",
    "work.cut": lambda say: f"cut {say['length']} off the butt",
    "work.extend": lambda say: f"extend {say['length']} at the butt",
    "work.new_shaft": lambda say: f"fit a new shaft: {say['length']} longer is more than an extension allows",
    "work.bend_loft": lambda say: f"bend {say['change']} {say.term('way')}",
    "work.bend_lie": lambda say: f"bend {say['change']} {say.term('way')}",
    "limit.no_head": fixed("there is no head for this club; find one"),
    "limit.mass_added": lambda say: (
        f"{say['mass']} is more than a head takes (about {say['most']}); find a heavier head"
    ),
    "limit.mass_removed": lambda say: (
        f"{say['mass']} is more than can be ground off (about {say['most']}); find a lighter head"
    ),
    "limit.extension": _limit_extension,
    "limit.no_bend": lambda say: (
        f"this head cannot be bent; find one with {say['loft']} of loft and a lie of {say['lie']}"
    ),
    "limit.bend": _limit_bend,
    "parts.new_club": lambda say: f"{say.club}: head ({say['loft']}, {say['mass']}), shaft, grip",
    "parts.club": _parts_club,
    "parts.epoxy": fixed("epoxy for the joints, with its safety sheet"),
    "rule.club_count": lambda say: f"{say['count']} clubs; the rules allow {say['most']}",
    "rule.length": _rule_length,
    "rule.shaft_angle": lambda say: (
        f"shaft {say['angle']} off upright; the rules ask for at least {say['least']}"
    ),
    "rule.putter_loft": lambda say: (
        f"loft {say['loft']}; the rules allow {say.bare('least')} to {say['most']}"
    ),
}
