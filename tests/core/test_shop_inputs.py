"""Gauges, rings, days and spec cards as they are typed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from core.errors import InputError, RuleError
from core.shop_inputs import (
    GAUGE_KINDS,
    LimitText,
    gauge_error,
    past_day,
    places_mm,
    read_card,
    read_fact,
    read_limit,
    signed_width,
    thickness_mm,
    whole_number,
    words,
)

TODAY = date(2026, 3, 2)
NEEDED = {"ring_gear_side": "left", "setting_method": "outboard_rings"}


# --- gauges, rings, days ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("use", "typed", "value"),
    [
        ("dial", "0.01", 0.01),
        ("dial", "±0.005 mm", 0.005),
        ("dial", " ± .0005 in", 0.0127),
        ("torque", "0.05", 0.05),
        ("torque", "1 lbf·in", 0.1129848290276167),
        ("vessel", "10 ml", 0.01),
        ("thermometer", "2 °C", 2.0),
        ("thermometer", "1.8 °F", 1.0),
        ("thermometer", "0", 0.0),
    ],
)
def test_a_gauges_error_is_in_the_unit_of_what_it_reads(use: str, typed: str, value: float) -> None:
    assert gauge_error(use, typed) == pytest.approx(value, rel=1e-12)


def test_a_negative_error_is_refused() -> None:
    with pytest.raises(InputError, match=r"-0.01 is less than nothing. Write it without a sign."):
        gauge_error("dial", "-0.01")


@pytest.mark.parametrize("use", list(GAUGE_KINDS))
def test_the_error_of_a_gauge_is_never_in_kilograms(use: str) -> None:
    with pytest.raises(InputError):
        gauge_error(use, "1 kg")


@pytest.mark.parametrize(
    ("use", "typed", "value"),
    [("dial", "-0,01", -0.01), ("dial", "+.5 thou", 0.0127), ("torque", "0", 0.0), ("thermometer", "-1.8 °F", -1.0)],
)
def test_what_a_gauge_shows_at_its_zero_has_a_sign(use: str, typed: str, value: float) -> None:
    assert signed_width(use, typed) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("read", [gauge_error, signed_width])
def test_a_use_of_a_gauge_that_nobody_knows_is_refused(read: Callable[[str, str], float]) -> None:
    with pytest.raises(InputError, match=r"'sundial' is no use of a gauge known here\. Choose one of dial, "):
        read("sundial", "0.01")


@pytest.mark.parametrize(("typed", "value"), [("2,52", 2.52), ("0.1 in", 2.54), ("40", 40.0)])
def test_a_thickness_is_read(typed: str, value: float) -> None:
    assert thickness_mm(typed) == value


@pytest.mark.parametrize("typed", ["0", "-2.5", "60.001", "252"])
def test_what_is_no_thickness_of_a_ring_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match=f"{typed} is no thickness such a piece can have"):
        thickness_mm(typed)


@pytest.mark.parametrize(
    ("typed", "places"),
    [
        ("2.516 2.518 2.517", [2.516, 2.518, 2.517]),
        ("2,516; 2,518;", [2.516, 2.518]),
        ("2,516, 2,518, 2.517 mm", [2.516, 2.518, 2.517]),
        ("2.516mm 2.517 mm", [2.516, 2.517]),
        ("0.0991 0.0992 in", [2.51714, 2.51968]),
        ('0.0991" 0.0992"', [2.51714, 2.51968]),
        ("0.0991 in 0.0992", [2.51714, 2.51968]),
        ("1 1/2 in; 1.5 in", [38.1, 38.1]),
        (" 2.516 ", [2.516]),
    ],
)
def test_the_places_of_a_piece_are_read_from_one_line(typed: str, places: list[float]) -> None:
    assert places_mm(typed) == pytest.approx(places)


@pytest.mark.parametrize(
    ("typed", "nominal_mm", "sentence"),
    [
        ("", None, "Nothing was measured."),
        (" ;; ", None, "Nothing was measured."),
        ("2.516 25.18", None, "25.180 mm is far off the 2.516 mm this piece should have."),
        ("2.516 2.518", 2.30, "2.516 mm is far off the 2.300 mm this piece should have."),
        ("2.5 x", None, "“x” is not a unit of length here."),
        ("2.5 2.5 N", None, "“2.5 N” is a force; a length is asked for."),
        ("abc", None, "“abc” does not begin with a number."),
        ("252", None, "252 is no thickness such a piece can have."),
        ("2.5 -2.5", None, "-2.5 is no thickness such a piece can have."),
        ("2.5 " * 60, None, "This is 240 characters long."),
    ],
)
def test_places_that_cannot_be_are_refused(typed: str, nominal_mm: float | None, sentence: str) -> None:
    with pytest.raises(InputError) as refused:
        places_mm(typed, nominal_mm)
    assert refused.value.message == sentence


def test_a_day_is_read_and_none_is_none() -> None:
    assert past_day(" 2026-03-02 ", TODAY) == TODAY
    assert past_day("  ", TODAY) is None


def test_a_day_to_come_is_refused() -> None:
    with pytest.raises(InputError, match=r"2026-03-03 is in the future. Check the year."):
        past_day("2026-03-03", TODAY)


@pytest.mark.parametrize(
    "typed", ["2.3.2026", "2026-02-30", "2026-13-01", "yesterday", "x" * 1000, "\ud800", "2026-03-02\x00"]
)
def test_what_is_no_day_is_refused_with_a_printable_sentence(typed: str) -> None:
    with pytest.raises(InputError) as raised:
        past_day(typed, TODAY)
    assert raised.value.message.endswith(" is not a date.")
    assert raised.value.message.isprintable()
    assert len(raised.value.message) < 80
    assert raised.value.remedy == "Write it as year-month-day, such as 2026-03-01."


def test_whole_numbers_and_words() -> None:
    assert whole_number("12") == 12
    assert words("  ") == ""
    assert words(" 3 Ferrow Lane\r\nAldmoor Cross ") == "3 Ferrow Lane\nAldmoor Cross"
    with pytest.raises(InputError):
        whole_number("1.5")


# --- limits -----------------------------------------------------------------------------------------------------------


def test_a_limit_keeps_its_value_its_texts_and_its_source() -> None:
    limit = read_limit("backlash", LimitText("0.06", "0,10 mm", " common practice "))
    assert (limit.low, limit.high) == (0.06, 0.10)
    assert (limit.low_text, limit.high_text) == ("0.06 mm", "0,10 mm")
    assert (limit.unit, limit.source) == ("mm", "common practice")


@pytest.mark.parametrize(
    ("key", "typed", "text", "unit"),
    [
        ("backlash", ".004 in", ".004 in", "in"),
        ("backlash", '.004"', '.004"', "in"),
        ("backlash", "½", "½ mm", "mm"),
        ("contact_along", "40", "40 %", "percent"),
        ("contact_along", "40%", "40%", "percent"),
        ("oil_volume", "1000 cm3", "1000 cm3", "ml"),
        ("cone_temperature", "120°C", "120°C", "deg_c"),
    ],
)
def test_the_text_of_a_limit_carries_its_unit_once(key: str, typed: str, text: str, unit: str) -> None:
    limit = read_limit(key, LimitText(high=typed, source="shop practice"))
    assert (limit.high_text, limit.low_text, limit.low, limit.unit) == (text, "", None, unit)


def test_the_unit_of_a_limit_with_only_a_low_side_is_its_own() -> None:
    limit = read_limit("backlash", LimitText(low="4 thou", source="shop practice"))
    assert (limit.low, limit.high, limit.unit) == (pytest.approx(0.1016), None, "thou")


def test_limits_upside_down_are_refused_across_units() -> None:
    with pytest.raises(InputError, match=r"low limit 0.004 in is above the high limit 0.1 mm"):
        read_limit("backlash", LimitText("0.004 in", "0.1 mm", "x"))
    assert read_limit("backlash", LimitText("2.54 mm", "0.1 in", "x")).low == 2.54


@pytest.mark.parametrize("source", ["", "  "])
def test_a_limit_without_a_source_is_refused(source: str) -> None:
    with pytest.raises(RuleError, match="Backlash has no source"):
        read_limit("backlash", LimitText("0.06", "0.10", source))


def test_only_a_temperature_may_lie_below_nothing() -> None:
    assert read_limit("cone_temperature", LimitText("-30 °C", "120 °C", "x")).low == -30.0
    for key in ("backlash", "turning_torque", "oil_volume", "contact_along"):
        with pytest.raises(InputError, match="less than nothing"):
            read_limit(key, LimitText("-1", "2", "x"))


def test_no_share_of_a_tooth_is_more_than_all_of_it() -> None:
    assert read_limit("contact_along", LimitText(high="100 %", source="x")).high == 1.0
    with pytest.raises(InputError, match="more than the whole"):
        read_limit("contact_along", LimitText(high="400 %", source="x"))


# --- facts and whole cards --------------------------------------------------------------------------------------------


def test_facts_are_read_by_their_kind() -> None:
    assert read_fact("ring_gear_side", "left").text == "left"
    assert read_fact("gear_outer_diameter", "8.5 in").value == pytest.approx(215.9)
    assert read_fact("nut_notches", "36").value == 36
    assert read_fact("bolt", "12 × M12×1.25, 10.9").value is None
    with pytest.raises(InputError, match="less than nothing"):
        read_fact("face_width", "-30 mm")
    with pytest.raises(InputError, match="Choose one of: left, right"):
        read_fact("ring_gear_side", "top")


def test_a_card_is_read_whole_and_every_refusal_is_named() -> None:
    limits = {
        "backlash": LimitText("0.06", "0.10", "common practice"),
        "runout": LimitText(),
        "turning_torque": LimitText("0.5 mm", "", "x"),
    }
    facts = {"ring_gear_side": "left", "face_width": "thirty", "note": ""}
    read_limits, read_facts, refused = read_card(limits, facts)
    assert [x.key for x in read_limits] == ["backlash"], "a limit that was not typed is not on the card"
    assert [x.key for x in read_facts] == ["ring_gear_side"]
    assert sorted(refused) == ["face_width", "setting_method", "turning_torque"]
    assert str(refused["setting_method"]) == ("How the side bearings are set is missing. A card cannot do without it.")


def refused_facts(**facts: str) -> dict[str, Any]:
    return read_card({}, {**NEEDED, **facts})[2]


def test_a_card_with_what_it_needs_is_enough() -> None:
    assert refused_facts() == {}


def test_nuts_need_their_thread_and_notches() -> None:
    assert sorted(refused_facts(setting_method="adjuster_nuts")) == ["nut_notches", "nut_thread_pitch"]
    told = {"setting_method": "adjuster_nuts", "nut_thread_pitch": "1.5 mm", "nut_notches": "36"}
    assert refused_facts(**told) == {}
    error = refused_facts(**{**told, "nut_notches": "0"})["nut_notches"]
    assert str(error) == "Adjuster-nut notches in one turn cannot be nothing. Measure it on the nut."


def test_ring_sizes_the_wrong_way_round_are_refused() -> None:
    error = refused_facts(ring_smallest="2.80", ring_largest="2.30")["ring_largest"]
    assert str(error) == "The thickest ring is thinner than the thinnest. Check whether they were swapped."
    assert refused_facts(ring_smallest="2.30", ring_largest="2.30") == {}
    assert refused_facts(ring_smallest="2.30") == {}


@pytest.mark.parametrize(
    ("key", "typed", "most"),
    [("pinion_offset", "110 mm", "99 mm"), ("face_width", "100", "99"), ("cutter_radius", "400 mm", "399 mm"),
     ("working_depth", "2 in", "1.9 in")],
)  # fmt: skip
def test_a_size_larger_than_the_ring_gear_allows_is_refused_at_its_field(key: str, typed: str, most: str) -> None:
    refused = refused_facts(gear_outer_diameter="200 mm", spiral_angle="35°", **{key: typed})
    assert list(refused) == [key]
    assert str(refused[key]).endswith("more than a ring gear of 200 mm allows. Check the decimal point and the unit.")
    assert typed in str(refused[key])
    assert refused_facts(gear_outer_diameter="200 mm", **{key: most}) == {}
    # Without the diameter nothing can be said.
    assert refused_facts(**{key: typed}) == {}
