"""What people type becomes SI, or a message that says what is wrong and where the limits are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.units import SAID, SYSTEMS, UNITS, Unreadable, amount, as_typed, between, parse, span, unit


@pytest.mark.parametrize(
    ("text", "quantity", "system", "si"),
    [
        ("172", "body", "metric", 1.72),
        ("172,5", "body", "metric", 1.725),
        ("68", "body", "imperial", 1.7272),  # 1 in = 25.4 mm exactly (BIPM SI brochure 2019; NIST SP 811)
        ("5'10", "body", "imperial", 1.778),
        ("5 ft 10 in", "body", "metric", 1.778),
        ("152", "carry", "imperial", 138.9888),  # 1 yd = 0.9144 m exactly
        ("93", "speed", "imperial", 41.57472),  # 1 mph = 0.44704 m/s exactly
        ("68", "temperature", "imperial", 20.0),
        ("-4", "temperature", "imperial", -20.0),
        ("\u22125", "temperature", "metric", -5.0),
        ("172 cm", "body", "metric", 1.72),
        ("31 1/2", "club", "imperial", 0.8001),
        ("31-1/2", "club", "imperial", 0.8001),
        ("31\u00bd in", "club", "imperial", 0.8001),
        ("1/2", "grip", "imperial", 0.0127),
        ("-1/2", "grip", "imperial", -0.0127),
        ("37 \u215b", "club", "imperial", 0.942975),
        ("34 11/16", "body", "imperial", 0.8810625),
        ("5' 10 1/2\"", "body", "imperial", 1.7907),
        ("5'10\u00bd", "body", "metric", 1.7907),
    ],
)
def test_reads(text, quantity, system, si):
    assert parse(text, quantity, system, low=-1000, high=1000) == pytest.approx(si, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "quantity", "system"),
    [
        ("31 1/2", "club", "metric"),
        ("31\u00bd", "body", "metric"),
        ("150 1/2", "carry", "imperial"),
        ("31\u00bd", "angle", "imperial"),
        ("27 1/2", "spin", "imperial"),
        ("31.5 1/2", "club", "imperial"),
        ("311/2", "club", "imperial"),
        ("31 3/2", "club", "imperial"),
        ("31 1/3", "club", "imperial"),
        ("3 1/2 1/4", "club", "imperial"),
    ],
)
def test_a_fraction_is_read_in_inches_only_and_never_guessed(text, quantity, system):
    with pytest.raises(Unreadable, match="must be a number"):
        parse(text, quantity, system, low=-1000, high=1000)


@pytest.mark.parametrize("typed", ["34.75", "34 3/4", "37.125", "31 7/8", "36"])
def test_a_length_typed_in_inches_is_shown_as_it_was_typed(typed):
    """In its field, and where it was kept to a tenth of a millimetre."""
    value = parse(typed, "club", "imperial", low=0.1, high=2.0)
    wanted = {"34 3/4": "34.75", "31 7/8": "31.875"}.get(typed, typed)
    assert as_typed(value, "club", "imperial") == wanted
    for quantity in ("club", "club_length"):
        shown = unit(quantity, "imperial")
        assert shown.text(round(value, 4)) == wanted
        assert shown.brief(round(value, 4)) == f"{wanted}\u00a0in"


def test_empty_is_not_known():
    assert parse("  ", "body", "metric", low=1, high=2.4) is None


@pytest.mark.parametrize(
    "bad", ["tall", "0", "-3", "1e9", "1000000000", "nan", "inf", "17 2", "1.7.2", "9" * 200]
)
def test_refuses_with_limits(bad):
    with pytest.raises(Unreadable, match="from 100 to 240 cm"):
        parse(bad, "body", "metric", low=1.0, high=2.4)


@pytest.mark.parametrize("quantity", UNITS)
@pytest.mark.parametrize("system", SYSTEMS)
def test_units_go_there_and_back(quantity, system):
    shown = unit(quantity, system)
    assert shown.si(shown.shown(12.345)) == pytest.approx(12.345)


@given(value=st.floats(-300, 300), quantity=st.sampled_from(sorted(UNITS)), system=st.sampled_from(SYSTEMS))
def test_what_is_shown_is_read_back_to_its_last_digit(value, quantity, system):
    shown = unit(quantity, system)
    value = shown.si(value)
    text = shown.text(value).replace("\u2212", "-")
    back = parse(text, quantity, system, low=-1e9, high=1e9)
    assert back == pytest.approx(value, abs=0.5001 * shown.size * 10.0**-shown.decimals + 1e-6)
    assert shown.text(back) == shown.text(value)


@given(value=st.floats(-1e6, 1e6), quantity=st.sampled_from(sorted(UNITS)), system=st.sampled_from(SYSTEMS))
def test_units_round_trip(value, quantity, system):
    shown = unit(quantity, system)
    assert shown.si(shown.shown(value)) == pytest.approx(value, rel=1e-12, abs=1e-9)


def test_the_limits_as_shown_can_be_typed():
    assert parse("39.4", "body", "imperial", low=1.0, high=2.4) == pytest.approx(1.0, abs=2e-3)
    assert span("carry", "imperial", 1, 400) == "from 1 to 437 yd"


def test_text_has_a_true_minus_and_no_minus_zero():
    assert unit("temperature", "metric").text(-3.2, unit=True) == "\u22123\u00a0\u00b0C"
    assert unit("temperature", "metric").text(-0.2) == "0"
    assert unit("carry", "metric").text(None) == "\u2013"


# SI per unit: BIPM SI brochure 2019 and the international yard and pound agreement of 1959
SIZES = {
    "m": 1.0,
    "cm": 0.01,
    "mm": 0.001,
    "in": 0.0254,
    "yd": 0.9144,
    "km/h": 1 / 3.6,
    "mph": 0.44704,
    "m/s": 1.0,
    "ft/s": 0.3048,
    "g": 0.001,
    "%": 0.01,
}


@pytest.mark.parametrize("quantity", [*UNITS, *SAID])
@pytest.mark.parametrize("system", SYSTEMS)
def test_each_unit_has_the_size_that_its_name_says(quantity, system):
    shown = unit(quantity, system)
    if shown.name in SIZES:
        assert shown.si(1) - shown.si(0) == pytest.approx(SIZES[shown.name], rel=1e-12)
        assert shown.si(0) == 0
    elif (
        shown.name == "ft" and quantity != "green_speed"
    ):  # green speeds are told in feet in SI documents too
        assert shown.si(1) == pytest.approx(0.3048)
    assert (shown.name in ("in", "yd", "mph", "ft", "\u00b0F", "ft/s")) <= (
        system == "imperial" or quantity == "green_speed"
    )


def test_temperatures_meet_at_forty_below():
    assert unit("temperature", "imperial").shown(-40) == pytest.approx(-40)
    assert unit("temperature", "imperial").shown(100) == pytest.approx(212)


@pytest.mark.parametrize(
    ("inches", "text", "signed"),
    [
        (0, "0", "0"),
        (0.5, "0.5", "+0.5"),
        (0.125, "0.125", "+0.125"),
        (1.375, "1.375", "+1.375"),
        (-0.75, "\u22120.75", "\u22120.75"),
        (2, "2", "+2"),
        (-1.01, "\u22121", "\u22121"),
        (0.06, "0", "0"),
        (0.07, "0.125", "+0.125"),
    ],
)
def test_changes_of_length_are_told_to_the_eighth_of_an_inch(inches, text, signed):
    eighths = unit("length_change", "imperial")
    assert eighths.text(inches * 0.0254) == text and eighths.text(inches * 0.0254, sign=True) == signed
    assert eighths.text(inches * 0.0254, unit=True) == f"{text}\u00a0in"
    assert eighths.text(None) == eighths.text(float("nan")) == "\u2013"


@pytest.mark.parametrize("inches", [38.0, 36.5, 37.125, 37.25, 0.5, 1.375])
def test_a_length_of_a_club_is_written_in_one_way(inches):
    """In decimals, an eighth in full, without zeros at the end: in tables, titles, sentences and orders alike."""
    written = f"{inches:g}"
    for quantity in ("club", "grip", "club_length", "length_change"):
        shown = unit(quantity, "imperial")
        assert shown.text(inches * 0.0254) == written
        assert shown.brief(inches * 0.0254) == f"{written}\u00a0in"
    assert unit("club", "imperial").text(0.94) == "37.01"  # 94 cm are no eighth


@pytest.mark.parametrize(("minutes", "told"), [(2, "5 min"), (20, "20 min"), (58, "1 h"), (150, "2 h")])
def test_less_than_an_hour_is_told_in_minutes(minutes, told):
    assert unit("hours", "metric").text(60.0 * minutes, unit=True).replace("\u00a0", " ") == told


def test_noise_behind_the_point_decides_no_rounding():
    """146.5 m and the same after a logarithm and back are one figure."""
    import math

    shown = unit("carry", "metric")
    for carry in (101.5, 108.5, 146.5, 147.5, 152.5, 163.5):
        assert shown.text(math.exp(math.log(carry))) == shown.text(carry)
        assert shown.text(carry * (1 + 4e-16)) == shown.text(carry * (1 - 4e-16)) == shown.text(carry)


def test_zeros_at_the_end_are_left_away_only_where_they_tell_nothing():
    assert unit("set_angle", "metric").text(34.5, unit=True) == "34.5\u00b0"
    assert (
        unit("set_angle", "metric").text(60.0) == "60" and unit("set_angle", "metric").text(62.25) == "62.25"
    )
    assert unit("angle", "metric").text(60.0) == "60.0" and unit("gap", "metric").text(10.0) == "10.0"
    assert (
        unit("club", "metric").brief(0.92) == "92\u00a0cm"
        and unit("club", "imperial").brief(0.9144) == "36\u00a0in"
    )
    assert unit("grip", "metric").brief(-0.0254) == "\u22122.5\u00a0cm"


def test_signs_are_put_where_asked_and_never_before_nought():
    shown = unit("gap", "metric")
    assert (shown.text(1.0, sign=True), shown.text(-1.0, sign=True), shown.text(0.04, sign=True)) == (
        "+1.0",
        "\u22121.0",
        "0.0",
    )
    assert shown.text(1.0) == "1.0"
    assert amount(1.5, "gap", "metric") == "1.5\u00a0m" and amount(1.5, "gap", "metric", bare=True) == "1.5"
    assert between(120.2, 131.4, "carry", "metric") == "120 to 131\u00a0m"


@pytest.mark.parametrize("text", ["172 yd", "172 m cm", "5'10", "1.2.3", "--3", "3-"])
def test_what_stands_in_another_unit_is_not_guessed(text):
    with pytest.raises(Unreadable):
        parse(text, "carry", "metric", low=1, high=400)


def test_a_number_at_the_limit_as_shown_is_held_to_it():
    assert parse("0.6", "carry", "metric", low=1, high=400) == 1
    assert parse("400.4", "carry", "metric", low=1, high=400) == 400
    for text in ("0.4", "400.6"):
        with pytest.raises(Unreadable, match="must be from 1 to 400 m"):
            parse(text, "carry", "metric", low=1, high=400)
    with pytest.raises(Unreadable, match="must be a number from 1 to 400 m"):
        parse("far", "carry", "metric", low=1, high=400)


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_has_no_unit_is_shown_as_it_is(system):
    for quantity in ("mean_count", "deviations", "strokes", "swing_points", "whole_angle"):
        if quantity in SAID:
            assert unit(quantity, system).shown(2.5) == 2.5, quantity


@pytest.mark.parametrize(
    ("quantity", "system", "si", "told"),
    [
        ("club_length", "metric", 0.9398, "94\u00a0cm"),
        (
            "club_length",
            "imperial",
            0.9411,
            "37.05\u00a0in",
        ),  # a hundredth of an inch is more than anybody cuts to
        ("grip_down", "imperial", 0.0381, "1.5\u00a0in"),
        ("grip_down", "metric", 0.0254, "2.5\u00a0cm"),
        ("speed_change", "imperial", 0.44704, "1.0\u00a0mph"),
        ("putt", "imperial", 3.048, "10\u00a0ft"),
        ("hole", "imperial", 0.10795, "4.2\u00a0in"),  # 4.25 in, Rules of Golf
        ("minutes", "metric", 1800.0, "30\u00a0min"),
        ("hours", "metric", 7200.0, "2\u00a0h"),
    ],
)
def test_quantities_of_statements_are_as_fine_as_they_are_of_use(quantity, system, si, told):
    assert unit(quantity, system).text(si, unit=True) == told


@pytest.mark.parametrize(
    ("text", "rpm"), [("2.700", 2700), ("2,700", 2700), ("10.250", 10250), ("2700", 2700)]
)
def test_a_spin_with_a_mark_before_three_digits_is_in_thousands(text, rpm):
    assert parse(text, "spin", "metric", low=0, high=20000) == rpm


@pytest.mark.parametrize("text", ["100,102", "1.234", "151.000", "98,101 m"])
@pytest.mark.parametrize("system", SYSTEMS)
def test_a_carry_with_three_digits_after_its_mark_is_not_guessed(text, system):
    text = text.replace("m", unit("carry", system).name)
    with pytest.raises(Unreadable, match="two numbers or one"):
        parse(text, "carry", system, low=1, high=400)
    assert parse("100,1", "carry", system, low=1, high=400) == pytest.approx(
        100.1 * unit("carry", system).size
    )


@pytest.mark.parametrize("text", ["2.7", "2,7", "10.5"])
def test_a_spin_of_a_few_turns_is_refused(text):
    with pytest.raises(Unreadable, match="as 2700"):
        parse(text, "spin", "metric", low=0, high=20000)


@pytest.mark.parametrize(
    ("typed", "system", "mps"),
    [
        ("12 mph", "metric", 5.364),
        ("12mph", "imperial", 5.364),
        ("20 km/h", "metric", 5.556),
        ("5 m/s", "imperial", 5.0),
        ("10 kn", "metric", 5.144),
        ("12", "metric", 12.0),
    ],
)
def test_a_wind_is_taken_in_the_unit_it_is_typed_with(typed, system, mps):
    """NIST SP 811 (2008), appendix B.8: 1 mph = 0.44704 m/s; a knot is 1852 m an hour."""
    assert parse(typed, "wind", system, low=0.0, high=30.0) == pytest.approx(mps, abs=0.01)


@pytest.mark.parametrize("typed", ["12 ft", "mph", "12 mph 3", "99 mph", "12 yd"])
def test_a_wind_in_no_unit_of_wind_or_too_strong_is_refused(typed):
    with pytest.raises(Unreadable):
        parse(typed, "wind", "metric", low=0.0, high=30.0)
