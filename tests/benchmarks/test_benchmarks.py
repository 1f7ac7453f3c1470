"""The benchmarks in small, so that they cannot rot: an answer is quick, and beats fixed steps on hidden axles."""

from __future__ import annotations

import importlib.util
import math
import statistics
import sys
from functools import cache
from pathlib import Path
from typing import Any

import pytest

AXLES = 12
FAMILIES = 2


@cache
def benchmark(name: str) -> Any:
    """Return a benchmark as a module: it is a script beside this file."""
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


# --- speed ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("trials", [0, 1, 2])
@pytest.mark.parametrize("stage", ["preload", "backlash"])
def test_an_answer_from_four_hundred_rings_takes_less_than_half_a_second(stage: str, trials: int) -> None:
    speed = benchmark("advice_speed")
    pieces = speed.drawer_of(400)
    # The quickest of a few: a machine that is busy with something else is not a slow program.
    assert min(speed.median_s(getattr(speed, stage), pieces, trials, 1) for _ in range(4)) < 0.5


# --- hidden truth -----------------------------------------------------------------------------------------------------


@cache
def worked(shop: str) -> list[Any]:
    """Return what became of the same axles in a shop."""
    virtual = benchmark("virtual_axle")
    case = virtual.Case(shop, getattr(virtual, shop), virtual.DRAWERS[0])
    return [work for family in range(FAMILIES) for work in virtual.works_of(case, family, AXLES // FAMILIES)]


def trials(shop: str) -> float:
    return statistics.fmean(work.preload + work.backlash for work in worked(shop))


@pytest.mark.parametrize("shop", ["FixedSteps", "HalfSteps"])
def test_the_advice_needs_fewer_strip_downs_than_fixed_steps(shop: str) -> None:
    assert trials("Advised") < trials(shop) - 0.5


def test_a_measured_stack_saves_more() -> None:
    assert trials("WithStack") < trials("Advised")


def test_what_is_accepted_on_the_advice_is_within_the_limits_in_truth() -> None:
    done = worked("Advised") + worked("WithStack")
    assert sum(work.is_true_torque and work.is_true_lash for work in done) >= 0.9 * len(done)


def test_the_chances_said_come_true_about_as_often_as_said() -> None:
    said = [one for shop in ("Advised", "WithStack") for work in worked(shop) for one in work.said]
    chances = [chance for _, chance, _ in said]
    assert len(chances) > 60
    came_true = sum(good for _, _, good in said)
    deviation = math.sqrt(sum(chance * (1.0 - chance) for chance in chances))
    assert abs(came_true - sum(chances)) < 3.0 * deviation
    # It tells sure from unsure: what was said to be likely came true more often.
    likely, unlikely = (
        [good for _, chance, good in said if (chance >= 0.6) == is_likely] for is_likely in (True, False)
    )
    assert statistics.fmean(likely) > statistics.fmean(unlikely) + 0.15
