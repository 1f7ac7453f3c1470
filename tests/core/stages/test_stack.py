"""The measured stack and the end play: optional, only where they mean something, and one sum from all of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from core.advice import Known, advise
from core.advice.seen import torque_trials
from core.errors import InputError, UserError
from core.facts import Part
from core.stages.preload import stack_sum_mm

Paper = Callable[..., Any]
SIZES = (
    ("stack_casing", "", "200.00"),
    ("stack_carrier", "", "194.10"),
    ("cup_stand", "left", "0.43"),
    ("cup_stand", "right", "0.41"),
)
DRAWER = [Part(at, "ring", "", f"B{at}", 2.40 + at / 100, 2, measured_mm=(2.40 + at / 100,)) for at in range(31)]


def derived(job: Any) -> float | None:
    found = [d.value for d in job.stage("preload").derived if d.derived.key == "stack_sum"]
    return found[0] if found else None


def measured(job: Any, but: int | None = None) -> Any:
    for at, (entry, position, text) in enumerate(SIZES):
        if at != but:
            job.read("preload", entry, text, position)
    return job


def test_the_stack_gives_the_sum_at_no_clearance(paper: Paper) -> None:
    # 200.00 − 194.10 − 0.43 − 0.41
    job = measured(paper())
    assert stack_sum_mm(job.context) == pytest.approx(5.06)
    assert derived(job) == pytest.approx(5.06)


@pytest.mark.parametrize("but", range(len(SIZES)))
def test_until_all_of_it_was_measured_it_gives_nothing(paper: Paper, but: int) -> None:
    job = measured(paper(), but)
    assert stack_sum_mm(job.context) is None
    assert derived(job) is None


def test_a_cup_may_stand_short_of_its_cone(paper: Paper) -> None:
    job = measured(paper())
    job.read("preload", "cup_stand", "-0.10", "left")
    assert stack_sum_mm(job.context) == pytest.approx(5.59)
    with pytest.raises(InputError):
        job.read("preload", "cup_stand", "-21", "left")


def test_inches_give_the_same_sum(paper: Paper) -> None:
    job = paper()
    for entry, position, text in SIZES:
        job.read("preload", entry, f"{float(text) / 25.4:.8f} in", position)
    assert stack_sum_mm(job.context) == pytest.approx(5.06, abs=1e-5)


def test_nobody_has_to_measure_it_and_nuts_have_none(paper: Paper) -> None:
    job = paper().preload()
    assert job.stage("preload").verdict.answer == measured(paper().preload()).stage("preload").verdict.answer
    for entry, position, text in SIZES:
        with pytest.raises(UserError):
            paper("Vask T").read("preload", entry, text, position)


def test_the_first_pair_is_chosen_by_it(paper: Paper) -> None:
    said = advise("preload", measured(paper()).state(), Known(DRAWER))
    assert said is not None
    assert said.offer is not None
    # 0.05 mm of interference reach the middle of the limits.
    assert said.offer.pair.sum_mm == pytest.approx(5.06 + 0.05, abs=0.015)


def test_end_play_of_a_loose_trial_tells_what_is_missing(paper: Paper) -> None:
    job = paper()
    job.preload_trial("2.50", "2.50", "0.05", "0.05", 1)
    guess = advise("preload", job.state(), Known(DRAWER))
    job.read("preload", "end_play", "0.06", trial=1)
    assert torque_trials(job.context)[1].end_play_mm == pytest.approx(0.06)
    told = advise("preload", job.state(), Known(DRAWER))
    assert guess is not None
    assert told is not None
    assert guess.offer is not None
    assert told.offer is not None
    assert told.offer.chance > guess.offer.chance + 0.2
    assert told.offer.pair.sum_mm == pytest.approx(5.00 + 0.06 + 0.05, abs=0.02)
    assert any("end play" in note for note in guess.notes)
    assert not any("end play" in note for note in told.notes)
