"""Text with units to SI and back."""

from __future__ import annotations

import contextlib
import math
import re
from pathlib import Path

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay import units
from wicketlay.errors import QuantityError
from wicketlay.units import (
    UnitSystem,
    format_cadence,
    format_duration,
    format_length,
    format_move,
    format_percent,
    format_speed,
    format_ticks,
    format_time,
    parse_cadence,
    parse_duration,
    parse_length,
    parse_percent,
    parse_speed,
    parse_temperature,
    write_cadence,
    write_duration,
    write_length,
    write_percent,
    write_speed,
    write_temperature,
)


def test_t4_foot_and_inch_are_exact():
    # T4: 1 ft = 0.3048 m, 1 in = 0.0254 m exactly (US Federal Register 2020-21902)
    assert parse_length("1 ft") == 0.3048
    assert parse_length("1 in") == 0.0254
    # three feet; 0.9144 m exactly, the yard agreed on in 1959
    assert parse_length("1 yd") == 0.9144


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("1.66 m", 1.66),
        ("1,66 m", 1.66),
        ("1.66m", 1.66),
        ("166 cm", 1.66),
        ("1660 mm", 1.66),
        ("0.5 m", 0.5),
        (".5 m", 0.5),
        ("  25 m ", 25.0),
        ("25\u00a0m", 25.0),
        ("5 ft 8 1/2 in", 1.7399),
        ("5 FT 8 IN", 1.7272),
        ("5 feet 8 inches", 1.7272),
        ("5'8\"", 1.7272),
        ("5' 8 1/2\"", 1.7399),
        ("5'8", 1.7272),
        ("5'8''", 1.7272),
        ("5\u2032 8\u00bd\u2033", 1.7399),
        ("5\u2019 8\u201d", 1.7272),
        ("8-1/2 in", 0.2159),
        ("1/2 in", 0.0127),
        ("3/64 in", 0.001190625),
        ("12 1/2 ft", 3.81),
        ("5 ft 8.5 in", 1.7399),
        ("0 m", 0.0),
        ("20 yd", 18.288),
        ("20yards", 18.288),
    ],
)
def test_length_spellings(text, metres):
    assert parse_length(text) == metres


@pytest.mark.parametrize(
    ("text", "metres"),
    [("-60 m", -60.0), ("\u221260 m", -60.0), ("+30 cm", 0.3), ("- 5 ft 6 in", -1.6764)],
)
def test_a_sign_is_read_where_it_is_asked_for(text, metres):
    assert parse_length(text, signed=True) == metres


@pytest.mark.parametrize(
    ("text", "mps"),
    [
        ("8.5 m/s", 8.5),
        ("30,6 km/h", 8.5),
        ("36 km/h", 10.0),
        ("25 mph", 11.176),
        ("25 ft/s", 7.62),
    ],
)
def test_speed_spellings(text, mps):
    assert parse_speed(text) == mps


@pytest.mark.parametrize(
    ("text", "hz"),
    [("4.3 steps/s", 4.3), ("258 steps/min", 4.3), ("4.3 Hz", 4.3), ("4,3 steps/s", 4.3)],
)
def test_cadence_spellings(text, hz):
    assert parse_cadence(text) == hz


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("3.17 s", 3.17),
        ("3.17s", 3.17),
        ("3 min", 180.0),
        ("3 min 30 s", 210.0),
        ("1 h", 3600.0),
        ("1 h 15 min", 4500.0),
        ("1 h 0 min 5 s", 3605.0),
        ("2.5 min", 150.0),
    ],
)
def test_duration_spellings(text, seconds):
    assert parse_duration(text) == seconds


def test_percent_spellings():
    assert parse_percent("95 %") == 0.95
    assert parse_percent("95%") == 0.95
    assert parse_percent("97,5 %") == 0.975
    assert parse_percent("-2 %", signed=True) == -0.02


def test_temperature_spellings():
    assert parse_temperature("28 C") == 28.0
    assert parse_temperature("28 °C") == 28.0
    assert parse_temperature("-5 C") == -5.0
    assert parse_temperature("68 F") == 20.0
    assert parse_temperature("80 F") == pytest.approx(26.6666667)


REFUSED_LENGTHS = {
    "1.66": 'length "1.66" has no unit; write "1.66 m"',
    "1,660 m": ('length "1,660 m" can be read as 1.66 m or as 1660 m; write "1.66 m" or "1660 m"'),
    "1,234.5 m": 'length "1,234.5 m" has a thousands mark; write "1234.5 m"',
    "1.234,5 m": 'length "1.234,5 m" has a thousands mark; write "1234.5 m"',
    "1.234.567 m": 'length "1.234.567 m" has a thousands mark; write "1234567 m"',
    "1 660 m": 'length "1 660 m" has a thousands mark; write "1660 m"',
    "1e3 m": ('length "1e3 m" has an exponent; write it out, such as "1.66 m" or "5 ft 8 1/2 in"'),
    "5 ft 13 in": (
        'length "5 ft 13 in" has 13 in beside feet; inches must stay below 12: write "6 ft 1 in"'
    ),
    "5 ft 12 1/2 in": (
        'length "5 ft 12 1/2 in" has 12 1/2 in beside feet; inches must stay below 12: '
        'write "6 ft 1/2 in"'
    ),
    "5.5 ft 3 in": (
        'length "5.5 ft 3 in" has a broken number of feet before inches; '
        "write whole feet and then inches"
    ),
    "5 ft 8": (
        'length "5 ft 8" ends in a number without a unit; '
        'write a length such as "1.66 m" or "5 ft 8 1/2 in"'
    ),
    "1 m 66 cm": (
        'length "1 m 66 cm" joins m and cm; write a length such as "1.66 m" or "5 ft 8 1/2 in"'
    ),
    "8 in 5 ft": (
        'length "8 in 5 ft" joins in and ft; write a length such as "1.66 m" or "5 ft 8 1/2 in"'
    ),
    "-5 m": 'length "-5 m" has a sign where none can be; write "5 m"',
    "5 furlongs": 'length "5 furlongs" has the unit "furlongs"; known units: m, cm, mm, ft, in, yd',
    "1.66 m/s": 'length "1.66 m/s" has the unit "m/s"; known units: m, cm, mm, ft, in, yd',
    "1/2 m": 'length "1/2 m" has a fraction, which is for feet and inches; write "0.5 m"',
    "8 3/2 in": (
        'length "8 3/2 in" has the fraction "3/2"; write a whole number and a proper fraction '
        'down to 1/64, such as "8 1/2 in"'
    ),
    "1/0 in": (
        'length "1/0 in" has the fraction "1/0"; write a whole number and a proper fraction '
        'down to 1/64, such as "8 1/2 in"'
    ),
    "1..2 m": (
        'length "1..2 m" has the number "1..2", which has a mark too many or digits too few; '
        'write a length such as "1.66 m" or "5 ft 8 1/2 in"'
    ),
    "": 'length "" is empty; write a length such as "1.66 m" or "5 ft 8 1/2 in"',
    "nan m": ('length "nan m" is not a length; write a length such as "1.66 m" or "5 ft 8 1/2 in"'),
    "inf m": ('length "inf m" is not a length; write a length such as "1.66 m" or "5 ft 8 1/2 in"'),
    "\u0663 m": (
        'length "\u0663 m" is not a length; write a length such as "1.66 m" or "5 ft 8 1/2 in"'
    ),
    "1.66 m tall": (
        'length "1.66 m tall" is not a length; write a length such as "1.66 m" or "5 ft 8 1/2 in"'
    ),
}


@pytest.mark.parametrize("text", REFUSED_LENGTHS)
def test_a_length_that_is_none_is_refused_with_its_remedy(text):
    with pytest.raises(QuantityError) as caught:
        parse_length(text)
    assert str(caught.value) == REFUSED_LENGTHS[text]


def test_an_endless_text_is_refused_and_cut_short_in_the_message():
    with pytest.raises(QuantityError, match="is over 60 characters long") as caught:
        parse_length("9" * 100_000 + " m")
    assert len(str(caught.value)) < 250


@pytest.mark.parametrize(
    ("parse", "text", "message"),
    [
        (parse_speed, "8.5", 'speed "8.5" has no unit; write "8.5 m/s"'),
        (
            parse_speed,
            "8.5 kn",
            'speed "8.5 kn" has the unit "kn"; known units: m/s, km/h, mph, ft/s',
        ),
        (parse_cadence, "4.3", 'cadence "4.3" has no unit; write "4.3 steps/s"'),
        (
            parse_cadence,
            "4.3 bpm",
            'cadence "4.3 bpm" has the unit "bpm"; known units: steps/s, steps/min, Hz',
        ),
        (parse_duration, "3.17", 'time "3.17" has no unit; write "3.17 s"'),
        (
            parse_duration,
            "3 min 70 s",
            (
                'time "3 min 70 s" has 70 s beside minutes; seconds must stay below 60: '
                'write "4 min 10 s"'
            ),
        ),
        (parse_percent, "95", 'percentage "95" has no unit; write "95 %"'),
        (parse_percent, "0.95", 'percentage "0.95" has no unit; write "95 %"'),
        (parse_percent, "-2 %", 'percentage "-2 %" has a sign where none can be; write "2 %"'),
        (
            parse_percent,
            "1/2 %",
            (
                'percentage "1/2 %" has a fraction, which is for feet and inches; '
                'write a decimal, such as "95 %"'
            ),
        ),
        (
            parse_temperature,
            "28",
            'temperature "28" is not one; write it such as "28 C" or "80 F"',
        ),
    ],
)
def test_other_quantities_are_refused_with_their_remedy(parse, text, message):
    with pytest.raises(QuantityError) as caught:
        parse(text)
    assert str(caught.value) == message


@given(st.text(max_size=40))
@settings(max_examples=300)
def test_no_text_does_worse_than_be_refused(text):
    messages = []
    for parse in (parse_length, parse_speed, parse_cadence, parse_duration, parse_percent):
        try:
            assert math.isfinite(parse(text))
        except QuantityError as error:
            messages.append(str(error))
    assert all("; " in message for message in messages)


@given(st.text(alphabet="0123456789.,/'\" -+aceftimns%", max_size=20))
@settings(max_examples=500)
def test_no_jumble_of_honest_characters_does_worse_than_be_refused(text):
    for parse in (parse_length, parse_duration):
        with contextlib.suppress(QuantityError):
            assert parse(text) >= 0.0


REGISTRY = pint.UnitRegistry()
AMOUNTS = st.decimals(min_value=0, max_value=1000, places=2).map(lambda d: f"{d:f}")


@given(AMOUNTS, st.sampled_from(["m", "cm", "mm", "ft", "in", "yd"]))
def test_lengths_agree_with_pint(amount, unit):
    ours = parse_length(f"{amount} {unit}")
    theirs = REGISTRY.Quantity(
        float(amount), {"in": "inch", "ft": "foot", "yd": "yard"}.get(unit, unit)
    )
    assert ours == pytest.approx(theirs.to("m").magnitude, rel=1e-14)


@given(AMOUNTS, st.sampled_from(["m/s", "km/h", "mph", "ft/s"]))
def test_speeds_agree_with_pint(amount, unit):
    theirs = REGISTRY.Quantity(
        float(amount), {"mph": "mile/hour", "ft/s": "foot/second"}.get(unit, unit)
    )
    assert parse_speed(f"{amount} {unit}") == pytest.approx(theirs.to("m/s").magnitude, rel=1e-14)


@given(AMOUNTS, st.sampled_from([("s", "second"), ("min", "minute"), ("h", "hour")]))
def test_times_agree_with_pint(amount, unit):
    ours, theirs = unit
    quantity = REGISTRY.Quantity(float(amount), theirs)
    assert parse_duration(f"{amount} {ours}") == pytest.approx(
        quantity.to("s").magnitude, rel=1e-14
    )


@given(st.integers(0, 40), st.integers(0, 12 * 16 - 1))
def test_feet_and_sixteenths_agree_with_pint_and_come_back(feet, sixteenths):
    inches, rest = divmod(sixteenths, 16)
    text = f"{feet} ft {inches} {rest}/16 in" if rest else f"{feet} ft {inches} in"
    metres = parse_length(text)
    theirs = REGISTRY.Quantity(feet, "foot") + REGISTRY.Quantity(inches + rest / 16, "inch")
    assert metres == pytest.approx(theirs.to("m").magnitude, rel=1e-14, abs=1e-15)
    assert parse_length(write_length(metres, text)) == metres
    assert parse_length(format_length(metres, "feet", per_inch=16)) == metres


FLOATS = st.floats(min_value=0.001, max_value=600.0)
STYLES = ["1.66 m", "60 cm", "5 mm", "6 ft", "11 in", "5 ft 8 in", "5' 8\"", "1,5 m", "2m", "20 yd"]


@given(FLOATS, st.sampled_from(STYLES), st.sampled_from([-1, 1]))
def test_a_written_length_reads_back_as_the_same_float_in_the_same_unit(value, like, sign):
    text = write_length(sign * value, like)
    assert parse_length(text, signed=True) == sign * value
    feet = any(word in like for word in ("ft", "in", "'"))
    assert any(word in text for word in ("ft", "in", "'")) is feet
    assert ("yd" in text) is ("yd" in like)


@given(FLOATS)
def test_other_written_quantities_read_back_as_the_same_float(value):
    for like in ("8 m/s", "30 km/h", "18 mph", "28 ft/s", None):
        assert parse_speed(write_speed(value, like)) == value
    for like in ("4 steps/s", "250 steps/min", "4 Hz", None):
        assert parse_cadence(write_cadence(value, like)) == value
    for like in ("4 s", "3 min", "1 min 5 s", "1 h", None):
        assert parse_duration(write_duration(value * 13, like)) == value * 13
    for like in ("95 %", "95%", None):
        assert parse_percent(write_percent(value, like)) == value
    for like in ("20 C", "70 F", None):
        assert parse_temperature(write_temperature(value, like)) == value


@pytest.mark.parametrize(
    ("value", "like", "text"),
    [
        (1.7399, "5 ft 8 in", "5 ft 8 1/2 in"),
        (1.7399, "5'8\"", "5' 8 1/2\""),
        (1.8288, "5 ft", "6 ft"),
        (0.635, "24 in", "25 in"),
        (0.65, "60 cm", "65 cm"),
        (0.65, "60cm", "65cm"),
        (1.7, "1,66 m", "1,7 m"),
        (1.665, "1,66 m", "1,6650 m"),
        (25.0, "20 m", "25 m"),
    ],
)
def test_a_changed_length_keeps_the_style_of_the_old_text(value, like, text):
    assert write_length(value, like) == text


def test_what_is_not_finite_is_never_written():
    with pytest.raises(QuantityError, match="nan cannot be written; it must be a finite number"):
        write_length(math.nan)
    with pytest.raises(QuantityError, match="inf cannot be written"):
        format_length(math.inf)


def test_lengths_are_formatted_half_away_from_zero_on_their_decimal_form():
    # 1.005 is below 1.005 in binary; people see the decimal and expect 1.01
    assert format_length(1.005) == "1.01 m"
    assert format_length(-1.005) == "-1.01 m"
    assert format_length(0.1 + 0.2) == "0.30 m"
    assert format_length(-0.001) == "0.00 m"
    assert format_length(12.3456, places=1, bare=True) == "12.3"


def test_lengths_in_feet_are_rounded_to_a_part_of_an_inch():
    assert format_length(1.7399, UnitSystem.FEET) == "5 ft 8 1/2 in"
    assert format_length(1.7399, "feet", per_inch=1) == "5 ft 9 in"
    assert format_length(1.7463, "feet", per_inch=4) == "5 ft 8 3/4 in"
    assert format_length(3.6576, "feet") == "12 ft 0 in"
    assert format_length(0.2159, "feet") == "8 1/2 in"
    assert format_length(-1.7399, "feet") == "-5 ft 8 1/2 in"
    assert format_length(1.8287, "feet") == "6 ft 0 in"


def test_small_moves_are_in_centimetres_or_half_inches():
    assert format_move(0.06) == "6 cm"
    assert format_move(0.065) == "7 cm"
    assert format_move(-0.06) == "-6 cm"
    assert format_move(0.0635, "feet") == "2 1/2 in"
    assert format_move(0.0, "feet") == "0 in"


@pytest.mark.parametrize(
    ("ticks", "tick", "text"),
    [
        (1234, "1 cm", "12.34"),
        (1234, "5 cm", "61.70"),
        (-3, "5 cm", "-0.15"),
        (0, "1 cm", "0.00"),
        (5, "1 cm", "0.05"),
        (971, "1/2 in", "40 ft 5 1/2 in"),
        (0, "1/2 in", "0 ft 0 in"),
        (1943, "1/4 in", "40 ft 5 3/4 in"),
    ],
)
def test_readings_are_printed_from_whole_ticks(ticks, tick, text):
    assert format_ticks(ticks, tick) == text


def test_an_unknown_tick_is_refused():
    with pytest.raises(QuantityError) as caught:
        format_ticks(3, "2 in")
    assert str(caught.value) == (
        'a tape tick of "2 in" is unknown; it must be whole cm or one part of an inch'
    )


def test_other_quantities_are_formatted_for_people():
    assert format_speed(8.525) == "8.53 m/s"
    assert format_speed(8.53, "feet") == "19.1 mph"
    assert format_cadence(3.955) == "3.96 steps/s"
    assert format_time(3.165) == "3.17 s"
    assert format_percent(0.95) == "95 %"
    assert format_percent(0.975) == "97.5 %"
    assert format_percent(-0.02) == "-2 %"
    assert format_duration(180) == "3 min"
    assert format_duration(210.2) == "3 min 30 s"
    assert format_duration(3600) == "1 h"
    assert format_duration(0) == "0 s"


@given(st.floats(min_value=-1e4, max_value=1e4))
def test_formatting_is_within_half_a_unit_of_the_last_place(value):
    assert abs(float(format_length(value, bare=True)) - value) <= 0.005 + 1e-9
    assert "e" not in format_length(value, bare=True)


def test_nothing_of_ours_is_imported_but_errors_and_what_values_are_made_of():
    folder = Path(units.__file__).parent
    for module in folder.glob("*.py"):
        ours = re.findall(r"^from (wicketlay\S*) import", module.read_text("utf-8"), re.MULTILINE)
        assert all(
            each.startswith(("wicketlay.units", "wicketlay.errors", "wicketlay.values"))
            for each in ours
        )
        assert "import numpy" not in module.read_text("utf-8")
