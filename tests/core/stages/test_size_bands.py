"""Sizes of a set that are known only as a band: typed so, or not on the card and taken as usual for its size."""

from __future__ import annotations

from dataclasses import replace
from math import atan, sin, sqrt
from typing import Any

import pytest

from core.card_changes import fact_text
from core.errors import InputError, RangeError
from core.facts import CardFact
from core.mechanics.contact import Cut, contact_set
from core.shop_inputs import read_fact
from core.stages.context import Context
from core.stages.gear_set import drawn_set, sizes_named
from core.stages.size_bands import SIZES, SIZES_BY_KEY, bands, bands_words, ratio_of, typed_band


def with_facts(job: Any, **typed: str) -> Context:
    facts = {key: read_fact(key, text) for key, text in typed.items()}
    return Context(replace(job, card=replace(job.card, facts=facts)))


def test_a_card_without_sizes_takes_all_of_them_as_usual(job: Any) -> None:
    drawn = drawn_set(with_facts(job))
    assert list(drawn.bands) == [size.key for size in SIZES]
    assert drawn.usual == (*(size.label for size in SIZES), "how it was cut")
    for band in drawn.bands.values():
        assert band.is_usual
        assert band.low <= band.value <= band.high
        assert band.sd > 0
        # The set stays one that can be made, a standard deviation to either side.
        for sign in (-1.0, 1.0):
            contact_set(drawn.with_size(band.size.key, max(band.value + sign * band.sd, 0.0)))


def test_what_is_usual_follows_the_sizes_that_are_known(job: Any) -> None:
    small = drawn_set(with_facts(job, gear_outer_diameter="160 mm")).bands
    large = drawn_set(with_facts(job, gear_outer_diameter="320 mm")).bands
    for key in ("face_width", "pinion_offset", "cutter_radius"):
        assert large[key].high == pytest.approx(2 * small[key].high)
        assert large[key].sd == pytest.approx(2 * small[key].sd)
    assert large["spiral_angle"] == small["spiral_angle"]
    from_face = drawn_set(with_facts(job, face_width="45 mm"))
    assert from_face.gear_set.outer_diameter_mm == pytest.approx(300.0)
    assert "gear_outer_diameter" in from_face.bands


def test_the_usual_cutter_is_the_one_the_contact_is_computed_with(job: Any) -> None:
    drawn = drawn_set(with_facts(job, gear_outer_diameter="200 mm", face_width="30 mm", pinion_offset="0 mm"))
    assert drawn.gear_set.cutter_radius_mm is None
    made = contact_set(drawn.gear_set)
    assert drawn.bands["cutter_radius"].value == pytest.approx(made.cones.cutter_radius_mm, rel=1e-9)
    cone = 100.0 / sin(atan(43 / 11)) - 15.0
    assert drawn.bands["cutter_radius"].low == pytest.approx(0.80 * cone)


def test_a_whole_card_has_no_band(job: Any) -> None:
    drawn = drawn_set(
        with_facts(
            job, gear_outer_diameter="200 mm", face_width="30 mm", spiral_angle="35°", pressure_angle="20°",
            pinion_offset="0 mm", cutter_radius="82.55 mm", gear_cut="formed",
        )
    )  # fmt: skip
    assert (drawn.usual, dict(drawn.bands), drawn.is_cut_usual) == ((), {}, False)
    assert drawn.gear_set.cut is Cut.FORMED


@pytest.mark.parametrize(
    ("key", "typed", "low", "high"),
    [
        ("cutter_radius", "78 – 95 mm", 78.0, 95.0),
        ("cutter_radius", "78-95", 78.0, 95.0),
        ("cutter_radius", "3 to 3 3/4 in", 76.2, 95.25),
        ("cutter_radius", "82 ± 5", 77.0, 87.0),
        ("pinion_offset", "0 .. 20", 0.0, 20.0),
        ("face_width", "29,5–30,5 mm", 29.5, 30.5),
    ],
)
def test_a_band_is_typed_on_the_card(job: Any, key: str, typed: str, low: float, high: float) -> None:
    fact = read_fact(key, typed)
    assert (fact.value, fact.text) == (pytest.approx((low + high) / 2), typed)
    drawn = drawn_set(with_facts(job, **{key: typed}))
    band = drawn.bands[key]
    assert (band.low, band.high, band.is_usual) == (pytest.approx(low), pytest.approx(high), False)
    assert band.sd == pytest.approx((high - low) / 2 / sqrt(3))
    assert band.size.label not in drawn.usual


@pytest.mark.parametrize("typed", ["78 – 95", "82 ± 5", "3 to 3 3/4 in"])
def test_a_band_leaves_the_shop_and_comes_back_the_same(typed: str) -> None:
    fact = read_fact("cutter_radius", typed)
    again = read_fact("cutter_radius", fact_text(fact))
    assert again.value == pytest.approx(fact.value)
    one, other = (typed_band("cutter_radius", f.text) for f in (fact, again))
    assert one and other and [end.value for end in one] == [end.value for end in other]


def test_an_angle_is_a_band_in_degrees(job: Any) -> None:
    drawn = drawn_set(with_facts(job, spiral_angle="32 to 37°"))
    assert drawn.gear_set.spiral_angle_deg == pytest.approx(34.5)
    assert "on the card as a band: spiral angle 34.5° (32.0 – 37.0°)" in bands_words(drawn.bands.values())


@pytest.mark.parametrize("typed", ["82.55", "3 1/4 in", "3-1/4 in", "35", "8 mm"])
def test_a_plain_size_is_no_band(typed: str) -> None:
    assert typed_band("cutter_radius", typed) is None


@pytest.mark.parametrize("typed", ["95-78 mm", "78-78 mm", "5 ± 8 mm", "78 – 95 kg", "wide – 95 mm", "-", "78 –"])
def test_what_is_no_band_is_refused_with_a_sentence(typed: str) -> None:
    with pytest.raises(InputError) as refused:
        read_fact("cutter_radius", typed)
    assert refused.value.remedy


def test_only_sizes_of_the_set_may_be_bands() -> None:
    assert typed_band("flange_yield", "800 – 900 MPa") is None
    with pytest.raises(InputError):
        read_fact("flange_yield", "800 – 900 MPa")


def test_a_one_sided_band_is_doubtful_by_all_of_it() -> None:
    offset = bands({}, 3.9)["pinion_offset"]
    assert (offset.value, offset.low) == (0.0, 0.0)
    assert offset.sd == pytest.approx(offset.high / sqrt(3))


def test_bands_in_words() -> None:
    known = {size.key: CardFact(size.key, 30.0, "30") for size in SIZES if size.key != "cutter_radius"}
    known["gear_outer_diameter"] = CardFact("gear_outer_diameter", 200.0, "200 mm", "mm")
    assert bands_words(bands(known, 43 / 11).values()) == (
        "not on the card, as usual for its size: cutter radius 81 mm (71 – 97 mm)"
    )
    known["cutter_radius"] = CardFact("cutter_radius", 86.5, "78 – 95 mm", "mm")
    assert bands_words(bands(known, 43 / 11).values()) == "on the card as a band: cutter radius 86 mm (78 – 95 mm)"
    known["cutter_radius"] = CardFact("cutter_radius", 82.55, "82.55 mm", "mm")
    assert bands_words(bands(known, 43 / 11).values()) == ""


@pytest.mark.parametrize(("typed", "ratio"), [("41:10", 4.1), ("40 : 9, 43:11", 40 / 9), ("9:40", 3.9), ("", 3.9)])
def test_the_ratio_of_a_card(typed: str, ratio: float) -> None:
    assert ratio_of(typed) == pytest.approx(ratio)


def test_a_size_no_set_can_have_is_named_as_on_the_card(job: Any) -> None:
    with pytest.raises(RangeError, match=r"^pinion offset is 120, but must be"):
        drawn_set(with_facts(job, gear_outer_diameter="200 mm", pinion_offset="120 mm"))
    # Too large for these teeth, though smaller than the gear: told by the cones, called the same.
    drawn = drawn_set(with_facts(job, gear_outer_diameter="200 mm", pinion_offset="95 mm"))
    with pytest.raises(RangeError, match=r"^pinion offset is 95, but must be"), sizes_named():
        contact_set(drawn.gear_set)
    few = replace(job, pinion_teeth=4)
    with pytest.raises(RangeError, match=r"^pinion teeth is 4"):
        drawn_set(with_facts(few))


def test_every_size_is_a_fact_of_the_card() -> None:
    from core.stages.card import FACTS_BY_KEY

    for key, size in SIZES_BY_KEY.items():
        assert (FACTS_BY_KEY[key].kind, FACTS_BY_KEY[key].unit) == (size.kind, size.unit)
