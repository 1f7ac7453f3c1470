"""How much earlier jobs of a family teach: three a little, fifty a lot, one far out hardly anything."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.advice.pooling import Pool, pooled, together
from core.advice.priors import RISE, ZERO, PastJob, family_of

PRIOR = Pool(0.0, 1.0, 1.0, 4.0)
FEW = settings(max_examples=40)


def around(mean: float, scatter: float, count: int) -> list[float]:
    """Return values that scatter evenly, without any chance in them."""
    return [mean + scatter * z for z in np.linspace(-1.6, 1.6, count)]


def test_without_jobs_the_prior_stands() -> None:
    nothing = pooled(PRIOR, [], [])
    assert (nothing.mean, nothing.jobs) == (0.0, 0)
    assert nothing.sd == pytest.approx(np.sqrt(2.0))


def test_three_jobs_help_a_little_and_fifty_a_lot() -> None:
    before, three, fifty = (pooled(PRIOR, around(2.0, 0.3, n), [0.1] * n) for n in (0, 3, 50))
    assert 0.5 < three.mean < 1.9
    assert fifty.mean == pytest.approx(2.0, abs=0.1)
    assert before.sd > three.sd > fifty.sd
    assert three.sd > 2.0 * fifty.sd
    # However many there are, the next axle scatters as the family does.
    assert fifty.sd > 0.28


@FEW
@given(st.integers(5, 40), st.floats(-3.0, 3.0), st.floats(0.05, 0.5))
def test_more_jobs_of_the_same_kind_never_widen(count: int, mean: float, scatter: float) -> None:
    few, more = (pooled(PRIOR, around(mean, scatter, n), [0.1] * n) for n in (count, 2 * count))
    assert more.sd <= few.sd * 1.02


@pytest.mark.parametrize("far", [8.0, 30.0, -30.0, 1000.0])
def test_one_job_far_out_hardly_moves_twenty(far: float) -> None:
    usual = around(0.5, 0.3, 20)
    without, with_it = (pooled(PRIOR, [*usual, *extra], [0.1] * (20 + len(extra))) for extra in ((), (far,)))
    assert abs(with_it.mean - without.mean) < 0.25 * without.scatter
    assert with_it.mean == pytest.approx(0.5, abs=0.2)


@FEW
@given(st.lists(st.floats(-3.0, 3.0), min_size=1, max_size=12), st.floats(-5.0, 5.0), st.randoms())
def test_only_differences_count_and_no_order(values: list[float], shift: float, random: object) -> None:
    sds = [0.1 + 0.01 * at for at in range(len(values))]
    here = pooled(PRIOR, values, sds)
    there = pooled(Pool(shift, 1.0, 1.0, 4.0), [value + shift for value in values], sds)
    back = pooled(PRIOR, values[::-1], sds[::-1])
    assert there.mean == pytest.approx(here.mean + shift, abs=1e-6)
    assert (there.sd, back.mean, back.sd) == pytest.approx((here.sd, here.mean, here.sd), abs=1e-6)


@FEW
@given(st.lists(st.floats(-3.0, 3.0), min_size=1, max_size=12), st.floats(0.2, 9.0))
def test_another_unit_is_another_unit_throughout(values: list[float], factor: float) -> None:
    here = pooled(PRIOR, values, [0.1] * len(values))
    there = pooled(Pool(0.0, factor, 1.0, 4.0), [factor * value for value in values], [0.1 * factor] * len(values))
    assert (there.mean, there.sd) == pytest.approx((factor * here.mean, factor * here.sd), rel=1e-6, abs=1e-9)


def test_a_job_that_was_hardly_known_hardly_counts() -> None:
    sure, unsure = (pooled(PRIOR, [2.0] * 3, [sd] * 3) for sd in (0.05, 5.0))
    assert unsure.mean < 0.5 * sure.mean
    assert unsure.sd > sure.sd


def test_many_jobs_known_exactly_come_to_the_closed_form() -> None:
    """Conjugate normal model (Gelman et al., Bayesian Data Analysis, 3rd ed., 3.3, from memory): with equal known
    errors and many jobs, the mean is that of prior and jobs by their number, and the scatter the pooled one. What is
    far out counts less there than in the closed form, which allows for the difference."""
    rng = np.random.default_rng(5)
    values = rng.normal(1.0, 0.5, 4000)
    got = pooled(PRIOR, list(values), [1e-6] * len(values))
    closed = values.sum() / (1.0 + len(values))
    squares = 4.0 + ((values - closed) ** 2).sum() + closed**2
    scatter = np.sqrt(squares / (4.0 + 1.0 + len(values)))
    assert got.mean == pytest.approx(closed, abs=0.02)
    # Student's t with four degrees of freedom takes a normal sample's scatter for smaller: by a seventh.
    assert got.scatter == pytest.approx(scatter, rel=0.25)


@FEW
@given(st.lists(st.tuples(st.floats(-1.0, 1.0), st.floats(0.01, 1.0)), min_size=1, max_size=5))
def test_evidence_together_weighs_by_what_it_knows(evidence: list[tuple[float, float]]) -> None:
    mean, sd = together(evidence)
    values, sds = np.asarray(evidence).T
    weights = 1.0 / sds**2
    assert mean == pytest.approx(np.average(values, weights=weights), abs=1e-9)
    plain = 1.0 / np.sqrt(weights.sum())
    chi = (((values - mean) / sds) ** 2).sum() / max(len(evidence) - 1, 1)
    assert sd == pytest.approx(plain * max(1.0, np.sqrt(chi) if len(evidence) > 1 else 1.0), rel=1e-9)
    assert min(values) - 1e-9 <= mean <= max(values) + 1e-9


def test_a_family_pools_each_thing_its_jobs_had() -> None:
    nobody = family_of(())
    assert (nobody.jobs, nobody.zero, nobody.lash) == (0, None, None)
    assert nobody.rise.mean == RISE.mean
    jobs = [PastJob(zero_mm=(5.05 + 0.01 * at, 0.01), log_rise=(0.0, 0.1), found_mm=5.10) for at in range(-2, 3)]
    family = family_of([*jobs, PastJob()])
    assert family.jobs == 6
    assert family.zero is not None
    assert family.zero.mean == pytest.approx(5.05, abs=0.005)
    assert family.zero.sd < ZERO.scatter * 1.2
    assert family.rise.mean > RISE.mean
    assert family.lash is None
    assert family.zero_against_found.jobs == 5
