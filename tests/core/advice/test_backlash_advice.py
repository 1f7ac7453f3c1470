"""The next split: which way, how far, at what rate, and what the drawer has for it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from core.advice import Advice, advise
from core.advice.backlash import FALLBACK_RATE_RATIO, geometric_rate
from core.facts import CardFact, Limit, Part

Paper = Callable[..., Any]
DRAWER = [Part(i, "ring", "", f"B{i}", 2.40 + i / 100, 2) for i in range(1, 30)]
SIDE = {side: {"ring_gear_side": CardFact("ring_gear_side", None, side)} for side in ("left", "right")}


def told(paper: Paper, *trials: tuple[str, str, str], **more: Any) -> Any:
    job = paper(**more).preload()
    for number, (one, other, backlash) in enumerate(trials, start=1):
        job.backlash_trial(one, other, backlash, number)
    return job


def advice(job: Any, rings: list[Part] | None = None) -> Advice:
    said = advise("backlash", job.state(), DRAWER if rings is None else rings)
    assert said is not None
    return said


# --- when there is nothing to say -------------------------------------------------------------------------------------


def test_before_a_trial_is_measured_there_is_nothing_to_say(paper: Paper) -> None:
    job = paper().preload()
    assert advise("backlash", job.state(), DRAWER) is None
    job.read("backlash", "ring_gear_side", "2.52", trial=1)
    job.read_all("backlash", "backlash", ["0.13"] * 8, trial=1)
    assert advise("backlash", job.state(), DRAWER) is None, "the other side is not known"


def test_after_acceptance_there_is_nothing_to_say(paper: Paper) -> None:
    job = told(paper, ("2.60", "2.45", "0.08"))
    assert advice(job).text == "Accept it; the rings stay as they are."
    job.read("backlash", "accepted", "yes", trial=1)
    assert advise("backlash", job.state(), DRAWER) is None


def test_a_mean_within_the_limits_is_no_reason_to_move_the_gear(paper: Paper) -> None:
    job = told(paper)
    job.backlash_trial("2.52", "2.53", ["0.05", "0.11"] * 4)
    assert job.stage("backlash").trials[0].verdict.answer == "does_not_conform"
    assert advise("backlash", job.state(), DRAWER) is None


@pytest.mark.parametrize("limit", [None, Limit("backlash", 0.06, None), Limit("backlash", None, 0.10)])
def test_without_both_limits_there_is_no_middle_to_aim_for(paper: Paper, limit: Limit | None) -> None:
    job = told(paper, ("2.52", "2.53", "0.135"), limits={"backlash": limit})
    assert advise("backlash", job.state(), DRAWER) is None


# --- direction --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("side", "backlash", "title", "direction"),
    [
        (
            "left", "0.13", "Too much backlash",
            "The ring gear goes toward the pinion: thicker on the ring-gear side (left), "
            "thinner on the opposite side (right).",
        ),
        (
            "right", "0.13", "Too much backlash",
            "The ring gear goes toward the pinion: thicker on the ring-gear side (right), "
            "thinner on the opposite side (left).",
        ),
        (
            "left", "0.03", "Too little backlash",
            "The ring gear goes away from the pinion: thinner on the ring-gear side (left), "
            "thicker on the opposite side (right).",
        ),
        (
            "right", "0.03", "Too little backlash",
            "The ring gear goes away from the pinion: thinner on the ring-gear side (right), "
            "thicker on the opposite side (left).",
        ),
    ],
)  # fmt: skip
def test_the_direction_is_said_for_this_casings_side(
    paper: Paper, side: str, backlash: str, title: str, direction: str
) -> None:
    said = advice(told(paper, ("2.52", "2.53", backlash), facts=SIDE[side]))
    assert said.title == title
    assert said.text.startswith(direction + " Fit ")


# --- rate -------------------------------------------------------------------------------------------------------------


def test_the_rate_comes_from_the_gears_sizes(paper: Paper) -> None:
    # 43/11, 200 mm, face 30, 35° and 20°: about 0.709; the third figure hangs on the cutter, which is not known.
    assert geometric_rate(paper().state()) == pytest.approx(0.709, abs=0.001)


def test_one_job_is_told_to_move_the_gear_by_eight_hundredths(paper: Paper) -> None:
    job = told(paper)
    job.backlash_trial("2.52", "2.53", ["0.13", "0.13", "0.14", "0.14", "0.15", "0.14", "0.13", "0.12"])
    said = advice(job)
    assert said.why == (
        "By the gears' geometry each mm of ring gear is worth 0.71 mm of backlash, so 0.077 mm is wanted."
    )
    assert "Fit 2.597 mm on the ring-gear side (left) and 2.453 mm on the opposite side (right)." in said.text
    assert "Nearest in the drawer: 2.600 mm from B20 and 2.450 mm from B5." in said.text


def test_the_move_already_made_teaches_the_rate(paper: Paper) -> None:
    # 0.04 mm toward the pinion took 0.02 mm of backlash: 0.50 mm for each mm, not 0.71.
    said = advice(told(paper, ("2.52", "2.53", "0.140"), ("2.56", "2.49", "0.120")))
    assert said.why == "The last move showed 0.50 mm of backlash for each mm of ring gear, so 0.080 mm is wanted."
    assert "Fit 2.640 mm on the ring-gear side (left) and 2.410 mm on the opposite side (right)." in said.text


@pytest.mark.parametrize(
    ("second", "third"),
    [
        (("2.53", "2.52", "0.133"), None),  # moved by a hundredth only
        (("2.56", "2.49", "0.139"), None),  # a rate of 0.03: a slip
        (("2.56", "2.49", "0.160"), None),  # the wrong way round
        (("2.56", "2.49", "0.139"), ("2.565", "2.485", "0.135")),
    ],
)
def test_a_move_that_teaches_nothing_leaves_the_geometry(paper: Paper, second: Any, third: Any) -> None:
    said = advice(told(paper, ("2.52", "2.53", "0.140"), *[t for t in (second, third) if t]))
    assert said.why.startswith("By the gears' geometry")


def test_the_latest_move_that_teaches_something_is_believed(paper: Paper) -> None:
    said = advice(
        told(
            paper,
            ("2.48", "2.57", "0.180"),
            ("2.52", "2.53", "0.160"),
            ("2.56", "2.49", "0.136"),
            ("2.57", "2.48", "0.13"),
        )
    )
    assert said.why.startswith("The last move showed 0.60 mm")


def test_a_trial_with_another_sum_is_brought_back_to_the_sum_preload_fixed(paper: Paper) -> None:
    said = advice(told(paper, ("2.53", "2.54", "0.135")))
    assert "Fit 2.597 mm on the ring-gear side (left) and 2.453 mm on the opposite side (right)." in said.text


@pytest.mark.parametrize("lacking", ["gear_outer_diameter", "face_width", "spiral_angle", "pressure_angle"])
def test_without_the_gears_sizes_the_rate_is_assumed_and_said_to_be(paper: Paper, lacking: str) -> None:
    job = told(paper, ("2.52", "2.53", "0.150"), facts={lacking: None})
    assert geometric_rate(job.state()) is None
    assert FALLBACK_RATE_RATIO == 0.7
    assert advice(job).why == (
        "The card does not give the gears' sizes, so 0.70 mm of backlash for each mm of ring gear is assumed "
        "(common practice), and 0.100 mm is wanted."
    )


@pytest.mark.parametrize(
    ("key", "value"), [("face_width", 150.0), ("spiral_angle", 80.0), ("pressure_angle", 60.0), ("face_width", 0.0)]
)
def test_sizes_no_gear_can_have_are_not_believed(paper: Paper, key: str, value: float) -> None:
    job = told(paper, ("2.52", "2.53", "0.150"), facts={key: CardFact(key, value, str(value))})
    assert "is assumed (common practice)" in advice(job).why


def test_an_offset_pinion_makes_the_geometry_a_first_step(paper: Paper) -> None:
    job = paper("Kelda 3").preload("0.258 in", "0.267 in", "11 in-lb")
    job.backlash_trial("0.258 in", "0.267 in", "0.012 in")
    said = advice(job, [])
    assert said.why.startswith("By geometry without the pinion's offset each mm of ring gear is worth about 0.7")
    assert said.why.endswith(" in is a first step; the move itself will show the true rate.")
    assert " in on the ring-gear side (right)" in said.text
    assert said.text.endswith("The drawer has no such pair.")


# --- the drawer and its ends ------------------------------------------------------------------------------------------


def test_the_drawers_pair_keeps_the_sum_within_the_cards_tolerance(paper: Paper) -> None:
    job = told(paper, ("2.52", "2.53", "0.135"))
    far_off = [Part(1, "ring", "", "A1", 2.60, 2), Part(2, "ring", "", "A2", 2.48, 2)]
    assert "The drawer has no such pair." in advice(job, far_off).text
    there = [Part(1, "ring", "", "A1", 2.60, 1), Part(2, "ring", "", "A2", 2.47, 1, measured_mm=(2.468,))]
    near = advice(job, there).text
    assert near.endswith("Nearest in the drawer: 2.600 mm from A1 and 2.468 mm from A2.")


@pytest.mark.parametrize("backlash", ["0.5", "2.9"])
@pytest.mark.parametrize("facts", [{}, {"ring_largest": None}])
def test_no_ring_is_named_where_none_reaches(paper: Paper, backlash: str, facts: dict[str, None]) -> None:
    job = told(paper, ("2.52", "2.53", backlash), facts=facts)
    said = advise("backlash", job.state(), DRAWER)
    assert said is not None
    if facts and backlash == "0.5":
        assert "Fit " in said.text, "the card does not say where its rings end"
    else:
        assert said.text.endswith(
            "No rings of this family reach that far: read the backlash again, then look at the spacer."
        )


def test_how_far_rings_reach_depends_on_the_direction(paper: Paper) -> None:
    # Nearly the thickest on the ring-gear side: a tenth more does not fit, a tenth less does.
    assert advice(told(paper, ("2.72", "2.33", "0.15"))).text.endswith("then look at the spacer.")
    away = advice(told(paper, ("2.72", "2.33", "0.01"))).text
    assert "Fit 2.621 mm on the ring-gear side (left) and 2.429 mm on the opposite side (right)." in away


def test_nor_the_other_way(paper: Paper) -> None:
    limits = {"backlash": Limit("backlash", 1.0, 1.1)}
    said = advice(told(paper, ("2.52", "2.53", "0.5"), limits=limits))
    assert said.title == "Too little backlash"
    assert said.text.endswith("then look at the spacer.")


# --- nuts -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("notches", "backlash"), [(("13", "12"), "0.19"), (("1", "1"), "0.9")])
def test_nuts_turn_against_each_other(paper: Paper, notches: tuple[str, str], backlash: str) -> None:
    job = paper("Vask T").preload(*notches, "1.6")
    job.backlash_trial(*notches, backlash)
    said = advice(job)
    assert said.title == "Too much backlash"
    assert said.text.endswith("turn one nut out and the other in by the same number of notches.")
    assert "mm is wanted" in said.why
