"""What people type becomes SI, or a message that says what is wrong and where the limits are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.units import SYSTEMS, UNITS, Unreadable, parse, span, unit


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
    ],
)
def test_reads(text, quantity, system, si):
    assert parse(text, quantity, system, low=-1000, high=1000) == pytest.approx(si, abs=1e-6)


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
