"""How thick a piece is looked for: what is known best comes first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from core.advice import Known, advise
from core.advice.wanted import wanted_mm
from core.facts import Limit, Part

Paper = Callable[..., Any]
DRAWER = [Part(i, "ring", "", f"B{i}", 2.40 + i / 100, 2) for i in range(1, 30)]
ONE, OTHER = "ring_gear_side", "opposite_side"


def wanted(job: Any, stage: str, entry: str, trial: int) -> float | None:
    state = job.state(**{stage: trial})
    return wanted_mm(state, stage, entry, trial, advise(stage, state, Known(DRAWER)))


def advised(job: Any, stage: str) -> Any:
    said = advise(stage, job.state(), Known(DRAWER))
    assert said is not None
    return said.wanted


def test_at_first_what_was_found_is_looked_for_until_a_pair_is_advised(paper: Paper) -> None:
    job = paper(limits={"turning_torque": None})
    assert wanted(job, "preload", ONE, 1) is None
    job.read("teardown", "rings_found_ring_gear_side", "2.62")
    assert wanted(job, "preload", ONE, 1) == 2.62
    assert wanted(job, "preload", OTHER, 1) is None
    job = paper()
    for side in (ONE, OTHER):
        job.read("teardown", f"rings_found_{side}", "2.62")
    pair = advised(job, "preload")
    assert (wanted(job, "preload", ONE, 1), wanted(job, "preload", OTHER, 1)) == (
        pair.ring_gear_side_mm,
        pair.opposite_side_mm,
    )


def test_what_stands_there_is_looked_for_again(paper: Paper) -> None:
    job = paper()
    job.preload_trial("2.50", "2.51", "0.05", "0.05", 1)
    assert wanted(job, "preload", ONE, 1) == 2.50


def test_the_advised_pair_is_looked_for_and_the_second_side_makes_its_sum(paper: Paper) -> None:
    job = paper()
    job.preload_trial("2.50", "2.50", "0.30", "0.30", 1)
    pair = advised(job, "preload")
    assert wanted(job, "preload", ONE, 2) == pair.ring_gear_side_mm
    assert wanted(job, "preload", OTHER, 2) == pair.opposite_side_mm
    job.read("preload", ONE, "2.516", trial=2)
    assert wanted(job, "preload", OTHER, 2) == pytest.approx(pair.sum_mm - 2.516)
    job.withdraw("preload", ONE, trial=2)
    job.read("preload", OTHER, "2.541", trial=2)
    assert wanted(job, "preload", ONE, 2) == pytest.approx(pair.sum_mm - 2.541)


def test_without_advice_the_trial_before_is_looked_for(paper: Paper) -> None:
    job = paper(limits={"turning_torque": None})
    job.preload_trial("2.50", "2.51", "0.05", "0.05", 1)
    assert wanted(job, "preload", OTHER, 3) == 2.51


def test_backlash_begins_with_what_preload_accepted_and_keeps_the_sum(paper: Paper) -> None:
    job = paper(limits={"backlash": None}).preload("2.52", "2.53")
    assert wanted(job, "backlash", ONE, 1) == 2.52, "without limits nothing is advised"
    job = paper().preload("2.52", "2.53")
    pair = advised(job, "backlash")
    assert wanted(job, "backlash", ONE, 1) == pair.ring_gear_side_mm
    job.read("backlash", ONE, "2.60", trial=1)
    assert wanted(job, "backlash", OTHER, 1) == pytest.approx(2.45)
    job.read("backlash", OTHER, "2.45", trial=1)
    job.read_all("backlash", "backlash", ["0.13"] * 8, trial=1)
    pair = advised(job, "backlash")
    assert wanted(job, "backlash", ONE, 2) == pair.ring_gear_side_mm == pytest.approx(2.67, abs=0.02)
    assert wanted(job, "backlash", OTHER, 2) == pair.opposite_side_mm == pytest.approx(2.38, abs=0.04)
    job.read("backlash", ONE, "2.661", trial=2)
    assert wanted(job, "backlash", OTHER, 2) == pytest.approx(5.05 - 2.661)


def test_before_preload_is_accepted_backlash_takes_what_was_found(paper: Paper) -> None:
    job = paper()
    job.read("teardown", "rings_found_opposite_side", "2.38")
    assert wanted(job, "backlash", OTHER, 1) == 2.38


def test_a_spacer_is_looked_for_by_the_flanges_then_the_card_then_what_was_found(paper: Paper) -> None:
    job = paper(limits={"spacer": None})
    assert wanted(job, "backlash", "spacer", 0) is None
    job.read("teardown", "spacer_found", "3.00")
    assert wanted(job, "backlash", "spacer", 0) == 3.00
    job = paper(limits={"spacer": Limit("spacer", 3.1, 3.3)})
    assert wanted(job, "backlash", "spacer", 0) == pytest.approx(3.2)
    for entry, text in (("old_flange_height", "41.35"), ("new_flange_height", "38.15")):
        job.read("backlash", entry, text)
    assert wanted(job, "backlash", "spacer", 0) == pytest.approx(3.2)


def test_nothing_else_is_looked_for(paper: Paper) -> None:
    assert wanted(paper(), "preload", "torque_forward", 1) is None
    assert wanted(paper("Vask T").preload("12", "12", "1.6"), "backlash", "nut_" + ONE, 1) is None
