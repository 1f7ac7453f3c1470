"""The gate every reading passes: what can be read, what is impossible, and what the trade's rules refuse."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from core.errors import InputError, RuleError, UserError
from core.facts import CardFact
from core.stages import STAGES, stage, take
from core.stages.entry import Entry, Stage
from core.stages.take import MOST_TRIALS

Paper = Callable[..., Any]


def refused(job: Any, *place: Any, error: type[UserError] = RuleError, **more: Any) -> UserError:
    """Return the refusal of a reading; nothing may have been written."""
    before = list(job.readings)
    with pytest.raises(error) as raised:
        job.read(*place, **more)
    assert job.readings == before
    assert raised.value.message.endswith(".")
    return raised.value


# --- the slips of one job ---------------------------------------------------------------------------------------------


def test_a_decimal_comma_is_a_decimal_point(paper: Paper) -> None:
    amount = paper().read("preload", "ring_gear_side", "2,52", trial=1)
    assert (amount.value, amount.text, amount.unit) == (2.52, "2,52", "mm")


def test_a_lost_decimal_point_is_refused_with_the_rings_there_are(paper: Paper) -> None:
    job = paper()
    error = refused(job, "preload", "ring_gear_side", "25,2", trial=1)
    assert error.message == "25.200 mm is outside this family's rings, 2.300 mm to 2.800 mm."
    assert error.remedy == "Check the decimal point and the unit."
    refused(job, "preload", "ring_gear_side", "252", trial=1, error=InputError)
    assert refused(paper("Kelda 3"), "preload", "opposite_side", ".27 mm", trial=1).message == (
        "0.270 mm is outside this family's rings, 5.080 mm to 7.620 mm."
    )
    assert refused(paper("Kelda 3"), "preload", "opposite_side", "0.027 in", trial=1).message == (
        "0.0270 in is outside this family's rings, 0.2000 in to 0.3000 in."
    )


def test_a_length_in_a_torque_is_refused(paper: Paper) -> None:
    error = refused(paper(), "preload", "torque_forward", "0.6 mm", trial=1, error=InputError)
    assert "a length" in error.message
    assert "a torque is asked for" in error.message


# --- what cannot be ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("-0.1", "-0.1 is impossible here: it cannot be less than 0.000 mm."),
        ("90 mm", "90 mm is impossible here: it cannot be more than 3.000 mm."),
        ("3.54 in", "3.54 in is impossible here: it cannot be more than 0.1181 in."),
    ],
)
def test_an_impossible_backlash_says_what_would_be_possible(paper: Paper, typed: str, message: str) -> None:
    error = refused(paper(), "teardown", "backlash_found", typed, "at_000", error=InputError)
    assert error.message == message
    assert error.remedy.startswith("Check the ")


def test_the_edges_of_what_is_possible_are_possible(paper: Paper) -> None:
    job = paper()
    assert job.read("teardown", "backlash_found", "0", "at_000").value == 0.0
    assert job.read("teardown", "backlash_found", "3 mm", "at_045").value == 3.0
    assert job.read("backlash", "bolt_steps", "1").value == 1
    assert "cannot be less than 1." in refused(job, "backlash", "bolt_steps", "0", error=InputError).message


def test_no_entry_takes_a_negative_size(paper: Paper) -> None:
    for family in ("Orrin B", "Vask T"):
        job = paper(family).preload(*(("2.52", "2.53") if family == "Orrin B" else ("13", "12")))
        for declared in STAGES:
            for entry in declared.entries:
                is_signed = entry.key.startswith("etched_") or entry.key == "cup_stand"
                is_size = entry.kind in ("length", "torque", "volume", "ratio", "count") and not is_signed
                if is_size and entry.applies(job.job):
                    place = entry.positions[0].key
                    trial = 7 if entry.is_trial else 0
                    refused(job, declared.key, entry.key, "-1", place, trial, error=InputError)


def test_a_share_of_the_tooth_stays_between_toe_and_heel(paper: Paper) -> None:
    job = paper()
    assert job.read("contact_pattern", "drive_along", "100", trial=1).value == 1.0
    refused(job, "contact_pattern", "drive_along", "101", trial=1, error=InputError)


# --- where a reading belongs ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("trial", [0, -1, MOST_TRIALS + 1])
def test_a_trial_is_counted_from_one(paper: Paper, trial: int) -> None:
    error = refused(paper(), "preload", "ring_gear_side", "2.52", trial=trial)
    assert str(error) == "Ring on the ring-gear side belongs to a trial. Say which trial, counted from 1."


@pytest.mark.parametrize("trial", [1, MOST_TRIALS])
def test_any_trial_up_to_the_last_is_taken(paper: Paper, trial: int) -> None:
    job = paper()
    job.read("preload", "ring_gear_side", "2.52", trial=trial)
    assert job.context.trials("preload") == (trial,)


def test_what_does_not_belong_to_a_trial_is_refused_in_one(paper: Paper) -> None:
    error = refused(paper(), "preload", "pairs_kept", "yes", trial=1)
    assert error.message == "Cups and cones together as tagged does not belong to a trial."


@pytest.mark.parametrize(
    ("family", "is_limited_slip", "place"),
    [
        ("Orrin B", False, ("teardown", "clutch_pack", "24.85")),
        ("Vask T", True, ("preload", "ring_gear_side", "2.52", "", 1)),
        ("Orrin B", True, ("preload", "nut_ring_gear_side", "12", "", 1)),
    ],
)
def test_what_the_job_does_not_ask_for_is_refused(
    paper: Paper, family: str, is_limited_slip: bool, place: tuple[Any, ...]
) -> None:
    error = refused(paper(family, is_limited_slip=is_limited_slip), *place)
    assert error.message.endswith("is not asked for on this job.")


def test_a_choice_is_one_of_the_answers(paper: Paper) -> None:
    error = refused(paper(), "fill", "groove_bottom", "oval", error=InputError)
    assert error.remedy == "Choose one of: radius, square."
    assert paper().read("fill", "leak_check", "Y").text == "yes"


# --- rings of the family ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["2.25", "2.85", "0.0885826771653543307086614173228346 in", "2,850 mm"])
def test_a_measured_ring_may_miss_its_stamped_size_a_little(paper: Paper, typed: str) -> None:
    assert paper().read("preload", "opposite_side", typed, trial=1).value in (2.25, 2.85)


@pytest.mark.parametrize("typed", ["2.2499", "2.8501"])
def test_but_no_more(paper: Paper, typed: str) -> None:
    refused(paper(), "preload", "opposite_side", typed, trial=1)


@pytest.mark.parametrize("lacking", ["ring_smallest", "ring_largest"])
def test_a_card_without_ring_sizes_refuses_no_ring(paper: Paper, lacking: str) -> None:
    assert paper(facts={lacking: None}).read("preload", "ring_gear_side", "25.2", trial=1).value == 25.2


def test_nuts_are_not_measured_against_rings(paper: Paper) -> None:
    sizes = {key: CardFact(key, value, "") for key, value in (("ring_smallest", 2.3), ("ring_largest", 2.8))}
    assert paper("Vask T", facts=sizes).read("preload", "nut_ring_gear_side", "13", trial=1).value == 13


# --- the ring sum -----------------------------------------------------------------------------------------------------


def test_backlash_waits_for_preload(paper: Paper) -> None:
    job = paper()
    for entry, text in (("ring_gear_side", "2.52"), ("backlash", "0.08"), ("accepted", "yes")):
        position = "at_000" if entry == "backlash" else ""
        error = refused(job, "backlash", entry, text, position, 1)
        assert error.remedy == "Accept a preload trial first."
    job.read("backlash", "runout", "0.02")
    job.preload()
    job.read("backlash", "ring_gear_side", "2.52", trial=1)


def test_a_pair_that_changes_the_sum_is_refused_with_the_partner_that_keeps_it(paper: Paper) -> None:
    job = paper().preload("2.52", "2.53")
    job.read("backlash", "ring_gear_side", "2.60", trial=1)
    error = refused(job, "backlash", "opposite_side", "2.53", trial=1)
    assert error.message == ("This pair makes 5.130 mm, but preload fixed the ring sum at 5.050 mm (± 0.020 mm).")
    assert error.remedy == "With 2.600 mm on the other side, fit 2.450 mm here."
    job.read("backlash", "opposite_side", "2.45", trial=1)
    assert refused(job, "backlash", "ring_gear_side", "2.50", trial=1).remedy == (
        "With 2.450 mm on the other side, fit 2.600 mm here."
    ), "correcting the other side is held to the same sum"


def test_the_partner_is_offered_in_the_unit_that_was_typed(paper: Paper) -> None:
    job = paper("Kelda 3").preload("0.258 in", "0.267 in", "11 in-lb")
    job.read("backlash", "ring_gear_side", "0.262 in", trial=1)
    error = refused(job, "backlash", "opposite_side", "0.267 in", trial=1)
    assert error.message == ("This pair makes 0.5290 in, but preload fixed the ring sum at 0.5250 in (± 0.0010 in).")
    assert error.remedy == "With 0.2620 in on the other side, fit 0.2630 in here."


@pytest.mark.parametrize("miss_mm", ["0.02", "-0.02", "0.0200000001"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_pair_exactly_on_the_tolerance_passes(paper: Paper, miss_mm: str, unit: str) -> None:
    job = paper().preload("2.52", "2.53")
    job.read("backlash", "ring_gear_side", "2.60", trial=1)
    wanted = Decimal("2.45") + Decimal(miss_mm)
    job.read("backlash", "opposite_side", _typed(wanted, unit), trial=1)


@pytest.mark.parametrize("miss_mm", ["0.02001", "-0.02001"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_pair_just_beyond_the_tolerance_is_refused(paper: Paper, miss_mm: str, unit: str) -> None:
    job = paper().preload("2.52", "2.53")
    job.read("backlash", "ring_gear_side", "2.60", trial=1)
    refused(job, "backlash", "opposite_side", _typed(Decimal("2.45") + Decimal(miss_mm), unit), trial=1)


def _typed(length_mm: Decimal, unit: str) -> str:
    return f"{length_mm} mm" if unit == "mm" else f"{length_mm / Decimal('25.4')} in"


def test_a_card_says_its_own_tolerance(paper: Paper) -> None:
    job = paper(facts={"ring_sum_tolerance": CardFact("ring_sum_tolerance", 0.0, "0 mm", "mm")}).preload()
    job.read("backlash", "ring_gear_side", "2.60", trial=1)
    refused(job, "backlash", "opposite_side", "2.451", trial=1)
    job.read("backlash", "opposite_side", "2.45", trial=1)


def test_nuts_are_held_to_the_sum_and_offered_notches(paper: Paper) -> None:
    job = paper("Vask T").preload("13", "12", "1.6")
    job.read("backlash", "nut_ring_gear_side", "14", trial=1)
    error = refused(job, "backlash", "nut_opposite_side", "13", trial=1)
    assert error.message.startswith("This pair makes 1.125 mm, but preload fixed the ring sum at 1.042 mm")
    assert error.remedy == "With 14 notches on the other side, count 11 here."
    job.read("backlash", "nut_opposite_side", "11", trial=1)


def test_a_side_that_is_already_the_whole_sum_is_corrected_first(paper: Paper) -> None:
    job = paper("Vask T").preload("13", "12", "1.6")
    job.read("backlash", "nut_ring_gear_side", "30", trial=1)
    error = refused(job, "backlash", "nut_opposite_side", "11", trial=1)
    assert error.message == "1.250 mm on the other side is already the whole ring sum."
    assert error.remedy == "Correct that side first."


# --- accepting --------------------------------------------------------------------------------------------------------


def test_a_preload_trial_stays_only_when_everything_was_read(paper: Paper) -> None:
    job = paper()
    steps = (
        ("ring_gear_side", "2.52", "Ring on the ring-gear side"),
        ("opposite_side", "2.53", "Ring on the opposite side"),
        ("torque_forward", "0.60", "Turning torque, forward"),
        ("torque_back", "0.65", "Turning torque, back"),
    )
    for entry, text, label in steps:
        error = refused(job, "preload", "accepted", "yes", trial=1)
        assert error.message == f"Trial 1 cannot stay yet: {label} is missing."
        assert error.remedy == "Enter what was fitted and measured, then accept it."
        job.read("preload", entry, text, trial=1)
    job.read("preload", "accepted", "yes", trial=1)
    refused(job, "preload", "accepted", "yes", trial=2)


def test_a_backlash_trial_stays_only_when_all_eight_places_were_read(paper: Paper) -> None:
    job = paper().preload()
    job.backlash_trial("2.60", "2.45", ["0.08"] * 7)
    assert refused(job, "backlash", "accepted", "yes", trial=1).message == (
        "Trial 1 cannot stay yet: Backlash is missing."
    )
    job.read("backlash", "backlash", "0.08", "at_315", 1)
    job.read("backlash", "accepted", "yes", trial=1)


def test_a_nut_job_is_not_held_up_by_rings_it_has_not(paper: Paper) -> None:
    job = paper("Vask T")
    refused(job, "preload", "accepted", "yes", trial=1)
    assert job.preload("13", "12", "1.6").context.accepted_trial("preload", "accepted") == 1


def test_a_pattern_stays_only_when_both_sides_were_read_and_needs_no_pinion_shim(paper: Paper) -> None:
    job = paper()
    keys = [f"{side}_{what}" for side in ("drive", "coast") for what in ("along", "depth", "length", "height")]
    for key in keys:
        refused(job, "contact_pattern", "accepted", "yes", trial=1)
        job.read("contact_pattern", key, "50", trial=1)
    job.read("contact_pattern", "accepted", "yes", trial=1)


def test_a_trial_may_be_turned_down_at_any_time(paper: Paper) -> None:
    assert paper().read("preload", "accepted", "no", trial=1).value == 0.0


def test_a_stage_without_rules_of_its_own_takes_what_can_be_read(paper: Paper) -> None:
    entry = Entry("thickness", "Thickness of paint", "length", "um")
    paint = Stage("paint", "Paint", (entry,), ())
    assert take(paper().context, paint, entry, entry.positions[0], 0, "80").value == 0.08
    assert stage("teardown").refuse is None
