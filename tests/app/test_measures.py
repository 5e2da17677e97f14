"""What people type becomes SI, or a message that says what is wrong and where the limits are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.measures import SYSTEMS, UNITS, Unreadable, parse, span, unit
from app.spoken import spoken


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


METRIC = {
    "cut 1 in from the butt": "cut 25 mm from the butt",
    "extend 1/2 in at the butt": "extend 13 mm at the butt",
    "1 1/2 in longer: it comes to 35 1/2 in; bend 2 deg": "38 mm longer: it comes to 90.2 cm; bend 2\u00b0",
    "about 10 m more at 3 deg": "about 10 m more at 3\u00b0",
    "put 12 g in the hosel": "put 12 g in the hosel",
    "begin with 34.4 in (33.5 to 35.4)": "begin with 87.4 cm (85.1 to 89.9)",
    "0.5 in longer (+0.15 to +0.66 in; a tape": "13 mm longer (+4 to +17 mm; a tape",
    "An inch and a half down, then half an inch": "38 mm down, then 13 mm",
    "At 94 mph with the driver": "At 151 km/h with the driver",
    "carry -0.0 m (-0.5 to +0.3)": "carry 0.0 m (\u22120.5 to +0.3)",
    "as read in 2026 in texts, 3-wood": "as read in 2026 in texts, 3-wood",
    "lie 62 deg (60 to 64), 92 % of 10 ft": "lie 62\u00b0 (60 to 64), 92 % of 10 ft",
}
IMPERIAL = {
    "1 1/2 in longer; bend 2 deg": "1 1/2 in longer; bend 2\u00b0",
    "Half an inch more": "Half an inch more",
    "3.7 m of carry (2.4 to 4.9)": "4.0 yd of carry (2.6 to 5.4)",
    "goes from 133 to 152 m and": "goes from 145 to 166 yd and",
    "138 m (chance 92 %), 8 m beyond": "151 yd (chance 92 %), 9 yd beyond",
    "struck 10 mm higher": "struck 0.4 in higher",
    "0.50 m/s (0.33 to 0.71)": "0.50 m/s (0.33 to 0.71)",
}


@pytest.mark.parametrize(
    "system, text, told",
    [("metric", *x) for x in METRIC.items()] + [("imperial", *x) for x in IMPERIAL.items()],
)
def test_the_engines_sentences_in_the_units_shown(system, text, told):
    """Definitions of inch and yard: International Yard and Pound (1959); the mile of 5280 ft."""
    assert spoken(text, system).replace("\u00a0", " ") == told


def test_figures_do_not_part_from_their_units():
    assert spoken("9 % of 3 m", "metric") == "9\u00a0% of 3\u00a0m"
