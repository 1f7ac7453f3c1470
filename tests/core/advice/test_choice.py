"""Pairs of the drawer: what can be fitted, which is best, and what looking one trial ahead is worth."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr

from core.advice import lash_belief
from core.advice.choice import Choice, Piece, pairs_of
from core.advice.lash_belief import LashBelief, LashGauge, LashPrior
from core.advice.look_ahead import in_two_trials
from core.advice.next_pair import Found, Window, for_backlash, for_preload
from core.advice.torque_belief import TorqueBelief, TorqueGauge, TorquePrior, TorqueTrial, believe

FEW = settings(max_examples=25)
GAUGE = TorqueGauge(0.05, 0.045)
TORQUE, LASH = Window(0.5, 1.0), Window(0.065, 0.095)
ALIKE = 0.03


def belief_of(zero_mm: float = 5.05, sd_mm: float = 0.05, *trials: TorqueTrial) -> TorqueBelief:
    return believe(TorquePrior(zero_mm, sd_mm), trials, GAUGE)


def lash_of(at_mm: float = 0.12, sd_mm: float = 0.02) -> LashBelief:
    return lash_belief.believe(LashPrior(at_mm, sd_mm, 0.7, 0.04), (), LashGauge(0.01, 0.005))


@st.composite
def drawers(draw: st.DrawFn) -> list[Piece]:
    told = draw(st.lists(st.tuples(st.integers(2300, 2800), st.integers(0, 3), st.booleans()), max_size=14))
    return [
        Piece(10 + at, size / 1000, 0.0017 if is_measured else 0.0115, count)
        for at, (size, count, is_measured) in enumerate(told)
    ]


def possible(pieces: list[Piece]) -> list[tuple[Piece, Piece]]:
    """Return every pair that can be taken in the hand."""
    return [
        (one, other)
        for one, other in product(pieces, repeat=2)
        if min(one.count, other.count) >= 1 and (one is not other or one.count >= 2)
    ]


def chosen(found: Found) -> list[Choice]:
    return [choice for choice in (found.best, found.runner_up) if choice is not None]


# --- what can be fitted -----------------------------------------------------------------------------------------------


@given(drawers())
def test_pairs_are_those_that_can_be_taken_in_the_hand(pieces: list[Piece]) -> None:
    pairs = pairs_of(pieces)
    got = {(pairs.pieces[a].key, pairs.pieces[b].key) for a, b in zip(pairs.first, pairs.second, strict=True)}
    assert got == {(one.key, other.key) for one, other in possible(pieces)}
    assert len(got) == len(pairs.sums_mm) == len(pairs.moves_mm)


@FEW
@given(drawers(), st.booleans(), st.floats(4.9, 5.2))
def test_no_pair_is_clearly_likelier_than_the_one_for_preload(
    pieces: list[Piece], is_looking_ahead: bool, zero_mm: float
) -> None:
    belief = belief_of(zero_mm)
    found = for_preload(belief, pieces, TORQUE, is_looking_ahead=is_looking_ahead)
    pairs = possible(pieces)
    assert (found.best is None) == (not pairs)
    for choice in chosen(found):
        assert choice.pieces in {(one.key, other.key) for one, other in pairs}
        assert 0.0 <= choice.chance <= 1.0
    if found.best is None or is_looking_ahead:
        return
    each = [
        float(
            belief.chances(
                np.asarray([one.thickness_mm + other.thickness_mm]),
                TORQUE.low,
                TORQUE.high,
                float(np.hypot(one.sd_mm, other.sd_mm)),
            )[0]
        )
        for one, other in pairs
    ]
    assert found.best.chance >= max(each) - ALIKE
    if found.runner_up is not None:
        assert found.runner_up.chance <= found.best.chance + ALIKE
        assert abs(found.runner_up.pair.sum_mm - found.best.pair.sum_mm) > 0.004, "the next best tells something else"


@FEW
@given(drawers(), st.floats(4.8, 5.4), st.sampled_from([0.0, 0.01, 0.02, 0.05]))
def test_a_pair_for_backlash_keeps_the_sum_and_none_is_likelier(
    pieces: list[Piece], sum_mm: float, tolerance_mm: float
) -> None:
    lash = lash_of()
    found = for_backlash(lash, pieces, LASH, sum_mm=sum_mm, tolerance_mm=tolerance_mm)
    pairs = [
        (one, other)
        for one, other in possible(pieces)
        if round(abs(one.thickness_mm + other.thickness_mm - sum_mm) - tolerance_mm, 9) <= 0.0
    ]
    assert (found.best is None) == (not pairs)
    for choice in chosen(found):
        assert abs(choice.pair.sum_mm - sum_mm) <= tolerance_mm + 1e-9
        assert choice.pieces in {(one.key, other.key) for one, other in pairs}
    if found.best is None:
        return
    each = [
        lash.chances(
            np.asarray([0.5 * (other.thickness_mm - one.thickness_mm)]),
            LASH.low,
            LASH.high,
            0.5 * float(np.hypot(one.sd_mm, other.sd_mm)),
        )[0]
        for one, other in pairs
    ]
    assert found.best.chance >= max(each) - ALIKE


def test_a_ring_of_which_only_the_stamp_is_known_promises_less() -> None:
    known = belief_of(5.05, 0.005, TorqueTrial(5.08, (0.45, 0.45)), TorqueTrial(5.12, (1.05, 1.05)))
    measured, stamped = (
        for_preload(known, [Piece(1, 2.55, sd, 1), Piece(2, 2.55, sd, 1)], TORQUE).best for sd in (0.0017, 0.0115)
    )
    assert measured is not None
    assert stamped is not None
    assert stamped.chance < measured.chance - 0.02
    assert known.expected(5.1, 0.016)[2] - known.expected(5.1, 0.016)[1] > (
        known.expected(5.1, 0.0025)[2] - known.expected(5.1, 0.0025)[1]
    )


def test_of_equal_sums_the_split_is_taken_that_lands_the_backlash() -> None:
    pieces = [Piece(at, 2.45 + 0.01 * at, 0.0017, 2) for at in range(21)]
    zero_move = for_preload(belief_of(5.05, 0.01), pieces, TORQUE, lash=lash_of(0.08), lash_window=LASH).best
    toward = for_preload(belief_of(5.05, 0.01), pieces, TORQUE, lash=lash_of(0.12), lash_window=LASH).best
    assert zero_move is not None
    assert toward is not None
    assert abs(zero_move.pair.split_mm) < 0.04
    # 0.04 mm too much at 0.7 a mm: the ring gear goes 0.057 mm toward the pinion, thicker on its own side.
    assert toward.pair.split_mm == pytest.approx(2 * 0.04 / 0.7, abs=0.05)


def test_of_equal_pairs_the_one_that_changes_fewer_rings_is_taken() -> None:
    pieces = [Piece(at, 2.55, 0.0017, 1) for at in range(6)]
    best = for_preload(belief_of(), pieces, TORQUE, fitted=(3, 4)).best
    assert best is not None
    assert (best.pieces, best.changed) == ((3, 4), 0)


@pytest.mark.parametrize("pieces", [[], [Piece(1, 2.5, 0.002, 0)], [Piece(1, 2.5, 0.002, 1)]])
def test_a_drawer_without_a_pair_still_says_what_would_do(pieces: list[Piece]) -> None:
    for found in (
        for_preload(belief_of(), pieces, TORQUE),
        for_backlash(lash_of(), pieces, LASH, sum_mm=5.0, tolerance_mm=0.02),
    ):
        assert (found.best, found.runner_up) == (None, None)
        assert 0.0 < found.ideal_chance <= 1.0
    assert for_preload(belief_of(), pieces, TORQUE).ideal_mm == pytest.approx(5.10, abs=0.03)
    assert for_backlash(lash_of(), pieces, LASH, sum_mm=5.0, tolerance_mm=0.02).ideal_mm == pytest.approx(
        (0.08 - 0.12) / 0.7, abs=0.01
    )


# --- looking one trial ahead ------------------------------------------------------------------------------------------


@FEW
@given(drawers(), st.floats(4.9, 5.2), st.floats(0.03, 0.12))
def test_looking_ahead_promises_no_less_than_being_greedy(pieces: list[Piece], zero_mm: float, sd_mm: float) -> None:
    belief = belief_of(zero_mm, sd_mm)
    ahead = for_preload(belief, pieces, TORQUE).best
    greedy = for_preload(belief, pieces, TORQUE, is_looking_ahead=False).best
    if ahead is None or greedy is None:
        assert ahead is greedy is None
        return
    assert ahead.chance_in_two >= greedy.chance - ALIKE
    assert ahead.chance_in_two >= ahead.chance - ALIKE
    assert ahead.chance <= greedy.chance + ALIKE, "no pair has a clearly higher chance than the greedy one"


def test_what_looking_ahead_promises_comes_true_in_a_plain_simulation() -> None:
    """The promise against a Monte Carlo that draws axles, reads a trial, updates the whole belief and fits again."""
    belief = belief_of(5.05, 0.06)
    sums = np.round(np.arange(4.95, 5.40, 0.02), 3)
    sum_sd = 0.0025
    looked_at, promised = in_two_trials(belief, sums, TORQUE.low, TORQUE.high, sum_sd)
    rng = np.random.default_rng(11)
    axles = 150
    for sum_mm in (5.07, 5.13):
        at = int(np.argmin(np.abs(looked_at - sum_mm)))
        done = 0
        for _ in range(axles):
            cell = rng.choice(belief.weights.size, p=belief.weights.ravel())
            row, column = divmod(int(cell), belief.weights.shape[1])

            def reads(total: float, row: int = row, column: int = column) -> float:
                squeezed = max(total + sum_sd * rng.normal() - belief.zeros_mm[row], 0.0) / 0.05
                mean = belief.drag_nm[column] + belief.rise_nm[column] * squeezed ** belief.exponent[column]
                return float(max(mean + belief.mean_sd_nm(np.asarray(mean), 2) * rng.normal(), 0.0))

            first = reads(float(looked_at[at]))
            if not TORQUE.low <= first <= TORQUE.high:
                after = believe(
                    TorquePrior(5.05, 0.06), [TorqueTrial(float(looked_at[at]), (first, first), sum_sd)], GAUGE
                )
                chances = after.chances(sums, TORQUE.low, TORQUE.high, sum_sd)
                first = reads(float(sums[int(chances.argmax())]))
            done += TORQUE.low <= first <= TORQUE.high
        share = done / axles
        error = np.sqrt(0.25 / axles)
        assert share == pytest.approx(promised[at], abs=3.0 * error), sum_mm


def test_looking_ahead_counts_the_trial_itself() -> None:
    """Where one sum is all there is, the second trial repeats the first: done unless both miss."""
    belief = belief_of(5.05, 0.0005)
    sums = np.asarray([5.10])
    looked_at, promised = in_two_trials(belief, sums, TORQUE.low, TORQUE.high, 0.002)
    chance = belief.chances(sums, TORQUE.low, TORQUE.high, 0.002)[0]
    assert looked_at == pytest.approx([5.10])
    assert chance - 0.01 <= promised[0] <= 1.0
    mean = belief.drag_nm + belief.rise_nm
    deviation = belief.mean_sd_nm(mean)
    once = ndtr((TORQUE.high - mean) / deviation) - ndtr((TORQUE.low - mean) / deviation)
    both_miss = float((belief.weights.sum(axis=0) * (1.0 - once) ** 2).sum())
    assert promised[0] == pytest.approx(1.0 - both_miss, abs=0.05)
