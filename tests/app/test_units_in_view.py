"""Every step in both systems of units: nothing in view speaks in the other one, in words, tables, choices or drawings."""

import re
from dataclasses import replace

import panel as pn
import pytest
from driver import Person, plain

from app.demo import demo_case
from engine.documents.case import Conditions, Shot

STEPS = ("Measure", "Hit", "Lay out", "Build", "Play", "Players, share, files", "Methods and settings")
OTHER = {
    "metric": r"yd|yds|yards?|mph|ft/s|\u00b0F|inch|inches|feet|ft|in",
    "imperial": r"m/s|km/h|kph|metres?|meters?|cm|mm|\u00b0C|kg|m",
}
WORDS = ("in", "m", "ft")  # of these only the ones behind a number or in brackets are units
FREE = (
    "cm \u00b7 m",  # the choice of units itself
    "in \u00b7 yd",
    "20 \u00b0C or 68 \u00b0F",  # said in both
    "green rated 10 ft",  # a rating, in feet everywhere
)


def measured_case():
    """A player of whom everything is known that a screen can show: launch, sides, grips, weather, balls after the build."""
    case = demo_case()
    shot = Shot(
        "7i", 131.0, ball_speed_mps=48.0, launch_deg=18.0, spin_rpm=6300.0, club_speed_mps=35.0, side_m=-4.0
    )
    return replace(
        case,
        shots=(*case.shots, shot, Shot("7i", 126.0, grip_down_m=0.0254), Shot("7i", 96.0)),
        retest=tuple(Shot("7i", carry) for carry in (131.0, 133.0, 128.0)),
        conditions=Conditions(range_ball=True, wind_mps=2.3, altitude_m=400.0),
    )


def everything_in_view(person):
    """(what it is, its text) for all that can be read now: words, labels, choices, placeholders and drawings."""
    for pane in person.seen(pn.pane.HTML):
        yield "words", plain(pane.object)
    for widget in person.seen(pn.widgets.Widget):
        yield "label", widget.label or ""
        yield "placeholder", str(getattr(widget, "placeholder", "") or "")
        for name in getattr(widget, "options", None) or ():
            yield "choice", str(name)
    for figure in person.seen(pn.pane.Bokeh):
        drawn = figure.object
        yield "title", drawn.title.text or ""
        for axis in drawn.axis:
            yield "axis", axis.axis_label or ""
        for item in (*drawn.legend, *drawn.center):
            yield "drawing", " ".join(str(i.label.value) for i in getattr(item, "items", ()))
            yield "drawing", str(getattr(item, "text", "") or "")
        for renderer in drawn.renderers:
            for column in renderer.data_source.data.values():
                yield "drawing", " | ".join(x for x in column if isinstance(x, str))


def foreign(text, system):
    """Units of the other system in a text: behind a number, in brackets, or as a word that can be nothing else."""
    text = text.replace("\u00a0", " ")
    for told in FREE:
        text = text.replace(told, "")
    plainly = "|".join(u for u in OTHER[system].split("|") if u not in WORDS)
    found = re.search(
        rf"\d ?({OTHER[system]})(?![\w/]| \d)|\(({OTHER[system]})\)|(?<![\w/])({plainly})(?![\w/])", text
    )
    return found and text[max(found.start() - 40, 0) : found.end() + 15]


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_no_step_speaks_in_the_other_units(system):
    person = Person()
    person.state.set_units(system)
    person.state.add_player(measured_case())
    found, looked = [], set()
    for step in STEPS:
        person.go(step)
        for _ in range(3):  # folds within folds
            for head in person.seen(pn.widgets.Button):
                if list(head.css_classes) == ["fold"]:
                    head.clicks += 1
        for kind, text in everything_in_view(person):
            looked.add((step, kind))
            if bit := foreign(text, system):
                found.append((step, kind, bit))
    assert found == []
    assert {(step, "words") for step in STEPS} | {
        ("Lay out", "axis"),
        ("Play", "axis"),
        ("Hit", "choice"),
    } <= looked


@pytest.mark.parametrize(
    ("system", "text"),
    [
        ("metric", "about 152\u00a0yd"),
        ("metric", "Carry (yd)"),
        ("metric", "so many yards"),
        ("imperial", "36 m/s"),
        ("imperial", "log(m/s)"),
        ("imperial", "Wind (km/h)"),
        ("imperial", "4\u00a0m longer"),
    ],
)
def test_the_other_units_are_seen_where_they_stand(system, text):
    assert foreign(text, system)
    assert not foreign(text, {"metric": "imperial", "imperial": "metric"}[system])


def test_the_club_speed_learned_is_a_speed_in_the_readers_units():
    """68 mph, the mean that circulates for a 7-iron and the prior's, is 109 km/h (1 mph = 1.609344 km/h exactly)."""
    person = Person()
    for system, name, speed in (("metric", "km/h", 109), ("imperial", "mph", 68)):
        person.state.set_units(system)
        if system == "metric":
            person.go("Methods and settings").open("What was learned about this swing")
        row = next(r for r in person.rows("Swing and ball") if r[0] == "club speed with the 7-iron")
        assert row[3] == name and float(row[1].split()[0]) == pytest.approx(speed, abs=1)
