"""The next ring sum: direction, step, proportion between trials, and when there is nothing to say."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from core.advice import Advice, advise
from core.facts import Limit, Part

Paper = Callable[..., Any]
DRAWER = [Part(i, "ring", "", f"B{i}", 2.40 + i / 100, 2) for i in range(1, 30)]


def told(paper: Paper, *trials: tuple[str, str, str], family: str = "Orrin B", **more: Any) -> Any:
    job = paper(family, **more)
    for number, (one, other, torque) in enumerate(trials, start=1):
        job.preload_trial(one, other, torque, torque, number)
    return job


def advice(job: Any, rings: list[Part] | None = None) -> Advice | None:
    return advise("preload", job.state(), DRAWER if rings is None else rings)


def test_before_a_trial_is_measured_there_is_nothing_to_say(paper: Paper) -> None:
    job = paper()
    assert advice(job) is None
    job.read("preload", "ring_gear_side", "2.50", trial=1)
    job.read("preload", "opposite_side", "2.50", trial=1)
    job.read("preload", "torque_forward", "0.05", trial=1)
    assert advice(job) is None


@pytest.mark.parametrize("stage", ["teardown", "housing_prep", "fill", "paint"])
def test_stages_without_an_adviser_say_nothing(paper: Paper, stage: str) -> None:
    assert advise(stage, paper().tell().state(), DRAWER) is None


def test_a_loose_first_trial_asks_for_one_step_more_shared_over_both_sides(paper: Paper) -> None:
    said = advice(told(paper, ("2.50", "2.50", "0.05")))
    assert said is not None
    assert said.title == "Too loose"
    assert said.text.startswith("Fit 2.525 mm on the ring-gear side (left) and 2.525 mm on the opposite side (right).")
    assert said.why == (
        "With one trial only the direction is known; 0.050 mm on the sum is the usual first step (common practice)."
    )


def test_a_tight_first_trial_asks_for_one_step_less_and_keeps_the_split(paper: Paper) -> None:
    said = advice(told(paper, ("2.60", "2.50", "1.40")))
    assert said is not None
    assert said.title == "Too tight"
    assert "Fit 2.575 mm on the ring-gear side (left) and 2.475 mm on the opposite side" in said.text


def test_a_loose_and_a_tight_trial_are_shared_in_proportion(paper: Paper) -> None:
    # 0.05 N·m at 5.00 and 1.40 at 5.10: 0.75 lies at 5.00 + 0.10 · 0.70/1.35
    said = advice(told(paper, ("2.50", "2.50", "0.05"), ("2.56", "2.54", "1.40")))
    assert said is not None
    assert said.why == f"2 trials point to a ring sum of about {5.0 + 0.1 * 0.70 / 1.35:.3f} mm."
    assert "Fit 2.536 mm on the ring-gear side (left) and 2.516 mm on the opposite side" in said.text
    assert "Nearest in the drawer: 2.540 mm from B14 and 2.520 mm from B12." in said.text


def test_the_closest_trials_on_both_sides_count(paper: Paper) -> None:
    said = advice(
        told(
            paper,
            ("2.45", "2.45", "0.05"),
            ("2.60", "2.60", "3.00"),
            ("2.50", "2.50", "0.25"),
            ("2.55", "2.55", "1.25"),
        )
    )
    assert said is not None
    assert said.why == "4 trials point to a ring sum of about 5.050 mm."


def test_two_loose_trials_take_the_longest_step_and_no_longer(paper: Paper) -> None:
    said = advice(told(paper, ("2.50", "2.50", "0.05"), ("2.51", "2.51", "0.06")))
    assert said is not None
    assert said.why == "2 trials point to a ring sum of about 5.120 mm."


def test_trials_that_contradict_each_other_only_give_a_direction(paper: Paper) -> None:
    # Tighter on the smaller sum: a bearing was not seated, and no line through both means anything.
    said = advice(told(paper, ("2.55", "2.55", "0.05"), ("2.50", "2.50", "1.40")))
    assert said is not None
    assert said.title == "Too tight"
    assert said.why == "2 trials point to a ring sum of about 4.900 mm."


def test_a_trial_that_conforms_is_to_be_accepted(paper: Paper) -> None:
    said = advice(told(paper, ("2.50", "2.50", "0.05"), ("2.52", "2.53", "0.60")))
    assert said is not None
    assert (said.title, said.why) == ("Trial 2 conforms", "")
    assert said.text == "Accept it; the ring sum stays as it is."


def test_after_acceptance_there_is_nothing_to_say(paper: Paper) -> None:
    assert advice(paper().preload()) is None


def test_a_mean_within_the_limits_is_no_reason_to_change_rings(paper: Paper) -> None:
    job = paper()
    job.preload_trial("2.52", "2.53", "0.40", "0.80", 1)
    assert job.stage("preload").trials[0].verdict.answer == "does_not_conform"
    assert advice(job) is None


@pytest.mark.parametrize(
    "limit",
    [None, Limit("turning_torque", 0.5, None), Limit("turning_torque", None, 1.0)],
    ids=["none", "no high side", "no low side"],
)
def test_without_both_limits_there_is_no_middle_to_aim_for(paper: Paper, limit: Limit | None) -> None:
    assert advice(told(paper, ("2.50", "2.50", "0.05"), limits={"turning_torque": limit})) is None


def test_the_advice_is_in_the_unit_the_rings_were_typed_in(paper: Paper) -> None:
    said = advice(told(paper, ("0.256 in", "0.266 in", "5 in-lb"), family="Kelda 3"), [])
    assert said is not None
    assert "Fit 0.2570 in on the ring-gear side (right) and 0.2670 in on the opposite side (left)." in said.text
    assert said.text.endswith("The drawer has no such pair.")
    assert "0.0020 in on the sum" in said.why


@pytest.mark.parametrize(
    ("torque", "text"), [("0.5", "Turn a nut in by a notch."), ("3", "Turn a nut out by a notch.")]
)
def test_nuts_are_turned_a_notch(paper: Paper, torque: str, text: str) -> None:
    said = advice(told(paper, ("12", "12", torque), family="Vask T"))
    assert said is not None
    assert said.text == text
    assert "0.050 mm on the sum" in said.why


def test_a_trial_whose_ring_was_taken_back_does_not_count(paper: Paper) -> None:
    job = told(paper, ("2.50", "2.50", "0.05"), ("2.56", "2.54", "1.40"))
    job.withdraw("preload", "opposite_side", trial=2)
    said = advice(job)
    assert said is not None
    assert said.title == "Too loose"
