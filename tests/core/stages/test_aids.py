"""Helpers beside the entries: out of sight until asked, right when they speak, and told with what went in."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from core.stages.aids import gauge_factor
from core.stages.state import DerivedState, StageState
from core.verdict import Answer


def derived(state: StageState, key: str) -> DerivedState | None:
    return next((d for d in state.derived if d.derived.key == key), None)


def record(workshop: Any, job: Any, stage: str, **typed: str) -> StageState:
    for entry, text in typed.items():
        workshop.record(job.id, stage, entry, text)
    return workshop.state(job.id).stage(stage)


def test_aids_stay_out_of_sight_until_asked(workshop: Any, job: Any) -> None:
    for stage in workshop.state(job.id).stages:
        assert [d.derived.key for d in stage.derived if d.derived.work] == []
        assert all(f.entry.needed == 0 for f in stage.fields if f.entry.help.startswith("Only "))


def test_an_adapter_is_corrected_at_any_angle(workshop: Any, job: Any) -> None:
    state = record(workshop, job, "backlash", bolt_setting="133.3", wrench_length="400", adapter_length="50")
    torque, setting = derived(state, "bolt_torque"), derived(state, "wrench_setting")
    assert torque is not None
    assert torque.value == pytest.approx(149.96, abs=0.005)
    assert setting is not None
    assert setting.value == pytest.approx(133.33, abs=0.005)
    assert setting.outcome is not None
    square = record(workshop, job, "backlash", adapter_angle="90")
    assert derived(square, "bolt_torque").value == pytest.approx(133.3)  # type: ignore[union-attr]


def test_the_bolts_preload_follows_from_the_card(workshop: Any, job: Any) -> None:
    # VDI 2230 by hand, M12x1.25, μ 0.14: 116 N·m/(0.16·1.25 + 0.58·11.188·0.14 + 15.05/2·0.14 mm)
    state = record(workshop, job, "backlash", bolt_setting="116")
    preload = derived(state, "bolt_preload")
    assert preload is not None
    assert preload.value == pytest.approx(53_650, rel=0.001)


def test_a_dial_off_its_place_is_corrected_in_every_verdict(workshop: Any, job: Any) -> None:
    for entry, text in (
        ("ring_gear_side", "2.52"), ("opposite_side", "2.53"), ("torque_forward", "0.7"), ("torque_back", "0.7"),
        ("accepted", "yes"),
    ):  # fmt: skip
        workshop.record(job.id, "preload", entry, text, trial=1)
    for place in workshop.state(job.id).stage("backlash").trials[0].fields:
        if place.entry.key == "backlash":
            workshop.record(job.id, "backlash", "backlash", "0.11", position=place.position.key, trial=1)
    plain = workshop.state(job.id).stage("backlash").trials[0]
    assert [f.verdict.answer for f in plain.fields if f.entry.key == "backlash"] == [Answer.DOES_NOT_CONFORM] * 8
    state = record(workshop, job, "backlash", gauge_radius="110", reference_radius="80")
    trial = state.trials[0]
    assert [f.verdict.answer for f in trial.fields if f.entry.key == "backlash"] == [Answer.CONFORMS] * 8
    mean = next(d for d in trial.derived if d.derived.key == "backlash_mean")
    assert mean.value == pytest.approx(0.08)
    assert any("0.727 times the reading" in remark.text for remark in state.remarks)


def test_a_stem_too_far_askew_is_said_and_not_guessed(workshop: Any, job: Any) -> None:
    state = record(workshop, job, "backlash", stem_angle="89")
    assert gauge_factor(workshop.state(job.id).context) == 1.0
    assert any("too far askew" in remark.text for remark in state.remarks)


def test_the_spacer_follows_from_the_flange_heights(workshop: Any, job: Any) -> None:
    workshop.record(job.id, "teardown", "spacer_found", "1.00")
    state = record(workshop, job, "backlash", old_flange_height="41.20", new_flange_height="39.00")
    assert derived(state, "spacer_wanted").value == pytest.approx(3.20)  # type: ignore[union-attr]


def test_the_heat_for_a_cone_and_its_refusal(workshop: Any, job: Any) -> None:
    state = record(workshop, job, "preload", cone_bore="45.000", cone_seat="45.020")
    heat = derived(state, "heat_cones_to")
    assert heat is not None
    # 20 °C + (0.020 + 0.020)/(12e-6 x 45.000)
    assert heat.value == pytest.approx(94.07, abs=0.01)
    assert heat.verdict is not None
    assert heat.verdict.answer is Answer.CONFORMS
    too_tight = record(workshop, job, "preload", cone_seat="45.060")
    refused = derived(too_tight, "heat_cones_to")
    assert refused is not None
    assert refused.value is None
    assert "120" in refused.trouble


def test_a_cup_bore_is_judged_by_its_class(workshop: Any, job: Any) -> None:
    for side, bore in (("left", "74.980"), ("right", "75.020")):
        workshop.record(job.id, "housing_prep", "cup_bore", bore, position=side)
        workshop.record(job.id, "housing_prep", "cup_diameter", "74.995", position=side)
    state = workshop.state(job.id).stage("housing_prep")
    left, right = derived(state, "cup_clearance_left"), derived(state, "cup_clearance_right")
    assert left is not None
    assert right is not None
    assert (left.value, right.value) == (pytest.approx(-0.015), pytest.approx(0.025))
    # ISO 286: 75 N7 is −9/−39 µm, so 74.980 is within it and 75.020 is not.
    assert [r.text.split(":")[0] for r in state.remarks] == ["Clearance of the right cup in its bore, bore"]


def test_the_marks_etched_on_pinions_count_as_the_card_says(workshop: Any, job: Any) -> None:
    state = record(workshop, job, "contact_pattern", etched_old="+0.05", etched_new="-0.02")
    assert derived(state, "pinion_shim_change").value == pytest.approx(0.07)  # type: ignore[union-attr]


def test_the_clearance_of_a_clutch_pack(workshop: Any, job: Any) -> None:
    for number, plate in enumerate(("2.05", "2.04", "2.03"), 1):
        workshop.record(job.id, "teardown", "plate_thickness", plate, position=f"no_{number}")
    state = record(workshop, job, "teardown", pack_space="6.40")
    assert derived(state, "pack_clearance").value == pytest.approx(0.28)  # type: ignore[union-attr]


def test_the_grooves_safety_and_what_a_square_cut_does(workshop: Any, job: Any) -> None:
    state = record(workshop, job, "fill", groove_diameter="26.0", groove_radius="1.0")
    safety = derived(state, "groove_safety")
    assert safety is not None
    assert safety.value == pytest.approx(1.297, abs=0.001)
    assert safety.verdict is not None
    assert safety.verdict.answer is Answer.CONFORMS
    assert any("Cut square, this groove would yield at 598" in remark.text for remark in state.remarks)


def test_what_was_worked_out_and_from_what_is_on_the_shops_sheet(workshop: Any, job: Any, tmp_path: Path) -> None:
    record(workshop, job, "backlash", bolt_setting="133.3", wrench_length="400", adapter_length="50")
    sheet = workshop.write_sheet(job.id, tmp_path / "sheet.pdf")
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(sheet).pages).split())
    assert "Setting for the middle of the limit" in text
    assert "133.33 N·m" in text
    assert "TM9-2350-261-34" in text.replace(" ", ""), "the narrow column may break it"
    assert "400.000 mm" in text
