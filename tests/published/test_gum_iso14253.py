"""Uncertainty budget and decision rule: GUM (JCGM 100:2008) and ISO 14253-1:2017.

The budget is that of a dial gauge: resolution 0.01 mm, maximum permissible error ± 0.015 mm, standard deviation
0.004 mm over three readings; u = 0.0094163 mm, U (k = 2) = 0.0188 mm. The components follow GUM 4.3.7 (rectangular,
a/√3), F.2.2.1 (resolution, r/√12), 4.2.3 (mean, s/√n) and 5.1.2 (root of the sum of squares). The guard factor 1.65
of ISO 14253-1:2017 (95 % on one side) is from memory; it is checked against the normal distribution below.
"""

from __future__ import annotations

import math
import random
from datetime import UTC, date, datetime
from statistics import NormalDist, pstdev

import pytest

from core.errors import RangeError
from core.facts import Gauge, Limit, ShopRules
from core.gauges import trusted
from core.mechanics.uncertainty import (
    COVERAGE,
    GUARD,
    combined_u,
    expanded_u,
    guard,
    mean_u,
    reading_u,
    rectangular_u,
    resolution_u,
)
from core.verdict import Answer, judge, judge_trusted


def test_budget_of_a_dial_gauge() -> None:
    assert resolution_u(0.01) == pytest.approx(0.0028868, abs=0.5e-7)
    assert rectangular_u(0.015) == pytest.approx(0.0086603, abs=0.5e-7)
    assert mean_u(0.004, 3) == pytest.approx(0.0023094, abs=0.5e-7)
    u = reading_u(0.01, 0.015, 0.004, 3)
    assert u == pytest.approx(0.0094163, abs=0.5e-7)
    assert u == combined_u(resolution_u(0.01), rectangular_u(0.015), mean_u(0.004, 3))
    assert expanded_u(u) == pytest.approx(0.0188, abs=0.5e-4)
    assert guard(u) == pytest.approx(1.65 * 0.0094163, abs=1e-7)


def test_the_whole_resolution_is_not_the_half_width() -> None:
    # GUM F.2.2.1: the half width is r/2, so r/√12, not r/√3.
    assert resolution_u(0.01) == pytest.approx(rectangular_u(0.005))


def test_a_rectangular_spread_has_the_deviation_the_guide_gives_it() -> None:
    # GUM 4.3.7, by drawing from the distribution itself.
    draw = random.Random(14253)
    assert pstdev(draw.uniform(-1.0, 1.0) for _ in range(200_000)) == pytest.approx(rectangular_u(1.0), rel=5e-3)


def test_factors_against_the_normal_distribution() -> None:
    # GUM G.3, table G.1: k = 2 covers 95.45 %; one-sided 95 % needs 1.645, which the standard rounds to 1.65.
    assert NormalDist().cdf(COVERAGE) - NormalDist().cdf(-COVERAGE) == pytest.approx(0.9545, abs=0.5e-4)
    assert NormalDist().inv_cdf(0.95) == pytest.approx(GUARD, abs=0.0052)
    assert NormalDist().cdf(GUARD) > 0.95


@pytest.mark.parametrize(
    "refused",
    [
        lambda: resolution_u(-0.01),
        lambda: rectangular_u(-0.01),
        lambda: rectangular_u(math.nan),
        lambda: rectangular_u(math.inf),
        lambda: mean_u(-0.1, 3),
        lambda: mean_u(0.1, 0),
        lambda: combined_u(0.1, -0.1),
        lambda: expanded_u(-0.1),
        lambda: guard(-0.1),
    ],
)
def test_nothing_is_clamped(refused: object) -> None:
    assert callable(refused)
    with pytest.raises(RangeError):
        refused()


def test_nothing_known_is_nothing_added() -> None:
    assert combined_u() == 0.0
    assert reading_u(0.0, 0.0) == 0.0


GAUGE = Gauge(1, "dial 1", "dial", "length", 0.01, 0.015)
U = reading_u(0.01, 0.015)
G = guard(U)
BAND = Limit("backlash", 0.10, 0.20)


@pytest.mark.parametrize(
    ("value", "answer"),
    [
        # ISO 14253-1:2017, both limits: outside the limits pushed out by g, between, inside the limits pulled in by g.
        (0.10 - G - 1e-6, Answer.DOES_NOT_CONFORM),
        (0.10 - G + 1e-6, Answer.UNCERTAIN),
        (0.10, Answer.UNCERTAIN),
        (0.10 + G - 1e-6, Answer.UNCERTAIN),
        (0.10 + G + 1e-6, Answer.CONFORMS),
        (0.15, Answer.CONFORMS),
        (0.20 - G - 1e-6, Answer.CONFORMS),
        (0.20 - G + 1e-6, Answer.UNCERTAIN),
        (0.20, Answer.UNCERTAIN),
        (0.20 + G - 1e-6, Answer.UNCERTAIN),
        (0.20 + G + 1e-6, Answer.DOES_NOT_CONFORM),
    ],
)
def test_the_decision_rule(value: float, answer: Answer) -> None:
    verdict = judge(value, BAND, GAUGE, "length", "mm")
    assert verdict.answer is answer
    assert verdict.guard == pytest.approx(1.65 * U)
    assert verdict.expanded == pytest.approx(2.0 * U)


def test_a_true_value_on_the_limit_is_accepted_once_in_twenty_at_most() -> None:
    # What the guard is for: a unit exactly on the upper limit, read with a normal error of u.
    draw = random.Random(898)
    readings = [draw.gauss(0.20, U) for _ in range(20_000)]
    verdicts = [judge(r, Limit("backlash", None, 0.20), GAUGE, "length", "mm") for r in readings]
    accepted = sum(verdict.answer is Answer.CONFORMS for verdict in verdicts)
    assert accepted / len(readings) == pytest.approx(1.0 - NormalDist().cdf(GUARD), abs=0.005)


def test_a_stated_error_that_counts_twice() -> None:
    # By hand, the components of the GUM with a = 2 × 0.015 mm: u = √(0.01²/12 + 0.03²/3) = 0.0175594 mm,
    # U (k = 2) = 0.0351188 mm, g = 1.65 u = 0.0289730 mm; the limits are pulled in to 0.128973 … 0.171027 mm.
    late = Gauge(1, "dial", "dial", "length", 0.01, 0.015, date(2024, 1, 5), 12)
    twice = trusted(late, datetime(2026, 3, 2, 12, 0, tzinfo=UTC), ShopRules("widen", 2.0))
    answers = {v: judge_trusted(v, BAND, twice, "length", "mm") for v in (0.128972, 0.128974, 0.171026, 0.171028)}
    assert [verdict.answer for verdict in answers.values()] == [
        Answer.UNCERTAIN,
        Answer.CONFORMS,
        Answer.CONFORMS,
        Answer.UNCERTAIN,
    ]
    assert answers[0.171026].expanded == pytest.approx(0.0351188, abs=5e-8)
    assert answers[0.171026].guard == pytest.approx(0.0289730, abs=5e-8)
    assert judge_trusted(0.228973 + 1e-6, BAND, twice, "length", "mm").answer is Answer.DOES_NOT_CONFORM
    assert judge_trusted(0.228973 - 1e-6, BAND, twice, "length", "mm").answer is Answer.UNCERTAIN
