"""From one case to the next what still holds is handed on, and nothing else: the numbers are those of a fresh fitting."""

import importlib
import pkgutil
from dataclasses import replace

import pytest

import engine
from app.demo import demo_case
from engine.documents.case import Conditions, Shot
from engine.fitting.fitting import Fitting
from engine.sets import predict as predicting
from engine.swing import calibration

DRAWS = 32


def slid(case, length):
    return replace(
        case,
        layouts=tuple(replace(x, common_length_m=length) if x.kind == "single" else x for x in case.layouts),
    )


def named(case):
    return replace(case, player=replace(case.player, label="Somebody else"))


def aired(case):
    return replace(case, wants=replace(case.wants, air=Conditions(temperature_c=5.0)))


CHANGES = {
    "taller": lambda case: replace(case, player=replace(case.player, height_m=1.95)),
    "faster": lambda case: replace(case, swing=replace(case.swing, driver_speed_mps=47.0)),
    "bent": lambda case: replace(
        case, bag=tuple(replace(c, loft_deg=c.loft_deg + 1) if c.id == "7i" else c for c in case.bag)
    ),
    "hit": lambda case: replace(case, shots=(*case.shots, Shot("7i", 150.0))),
    "colder": lambda case: replace(case, conditions=replace(case.conditions, temperature_c=3.0)),
}


@pytest.fixture
def flown(monkeypatch):
    """Clubs sent through flights one by one, by id and length."""
    clubs = []
    whole = predicting.predict
    monkeypatch.setattr(predicting, "predict", lambda p, c, *a, **k: clubs.extend(c) or whole(p, c, *a, **k))
    return clubs


def test_one_step_of_a_slider_flies_only_the_clubs_it_moved(flown):
    first = Fitting(slid(demo_case(), 0.95), DRAWS)
    assert first.result.layouts and flown
    flown.clear()
    case = slid(demo_case(), 0.96)
    second = first.after(case)
    assert second.posterior is first.posterior
    assert second.result == Fitting(case, DRAWS).result
    single = [c for c in second.clubs_of("single") if c.family in ("iron", "wedge")]
    moved = flown[: len(single)]  # those after it belong to the fresh fitting
    assert {c.id for c in moved} == {c.id for c in single} and {c.length_m for c in moved} == {0.96}
    fresh = {c.id for x in first.weighed for c in x.prediction.clubs}
    assert len(flown) - len(single) > len(fresh)  # a fresh one flies every club of every layout


def test_a_step_back_flies_nothing(flown):
    case = slid(demo_case(), 0.95)
    first = Fitting(case, DRAWS)
    there = first.after(slid(case, 0.96))
    assert first.result != there.result
    flown.clear()
    assert there.after(case).result == first.result
    assert flown == []


def test_each_air_has_its_own_flights_which_are_kept_for_the_way_back(flown):
    first = Fitting(demo_case(), DRAWS)
    cold = first.after(aired(demo_case()))
    warm_m, cold_m = (f.result.layouts[0].clubs[0].carry_m.mean for f in (first, cold))
    assert cold_m < warm_m
    flown.clear()
    assert cold.after(demo_case()).result == first.result and flown == []


def test_another_name_leaves_the_swing_as_it_was():
    first = Fitting(demo_case(), DRAWS)
    assert first.after(named(demo_case())).posterior is first.posterior


@pytest.mark.parametrize("change", CHANGES)
def test_whatever_bears_on_the_swing_is_worked_out_again(change):
    first = Fitting(demo_case(), DRAWS)
    case = CHANGES[change](demo_case())
    second = first.after(case)
    assert second.posterior is not first.posterior
    assert second.result == Fitting(case, DRAWS).result != first.result


def test_the_balls_before_the_last_are_calibrated_once_for_all_steps_of_a_slider(monkeypatch):
    calibrated = []
    whole = calibration.calibrate
    monkeypatch.setattr(
        "engine.fitting.known_swing.calibrate", lambda case, **k: calibrated.append(case) or whole(case, **k)
    )
    case = replace(demo_case(), shots=(*demo_case().shots, Shot("9i", 104.0, grip_down_m=0.0381)))
    fitting = Fitting(case, DRAWS)
    assert fitting.next_ball.last.balls == 1
    for length in (0.94, 0.95):
        fitting = fitting.after(slid(case, length))
        assert fitting.next_ball.last.club == "9i"
    assert [len(c.shots) for c in calibrated] == [len(case.shots), len(case.shots) - 1]


def test_the_draws_are_handed_on_too():
    assert Fitting(demo_case(), DRAWS).after(named(demo_case())).draws == DRAWS
    for draws in (15, 4097):
        with pytest.raises(ValueError, match="16 to 4096"):
            Fitting(demo_case(), draws)


def test_every_part_is_made_once():
    fitting = Fitting(demo_case(), DRAWS)
    for name in engine.SECTIONS:
        assert getattr(fitting, name) is getattr(fitting, name)


OF_NO_CASE = {"engine.shots.cells.quantity", "engine.documents.case._names"}  # of a text or a class alone


def test_no_module_of_the_engine_keeps_results():
    """A cache at the level of a module would outlive the case it was made for."""
    kept = set()
    for info in pkgutil.walk_packages(engine.__path__, "engine."):
        if info.name.endswith("__main__"):
            continue
        module = importlib.import_module(info.name)
        things = [thing for thing in vars(module).values() if hasattr(thing, "cache_clear")]
        kept |= {f"{thing.__module__}.{thing.__name__}" for thing in things}
    assert kept <= OF_NO_CASE
