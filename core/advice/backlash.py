"""The next split: how far the ring gear has to move for the backlash wanted, with the ring sum kept."""

from __future__ import annotations

import math
from collections.abc import Sequence

from core.advice.answer import Advice, fit_sentence, side_words
from core.errors import RangeError
from core.facts import Part
from core.language import mark, tr
from core.mechanics.bevel import bevel_geometry
from core.mechanics.lash import lash_rates, move_for_change_mm
from core.mechanics.rings import RingPair, move_between_mm, swap
from core.quantities import show
from core.stages.backlash import KEY, sum_tolerance_mm
from core.stages.card import is_set_by_nuts
from core.stages.preload import accepted_sum_mm, ring_range_mm
from core.stages.sides import RING_GEAR_SIDE, pair, side_key
from core.stages.state import JobState, StageState
from core.verdict import Answer

FALLBACK_RATE_RATIO = 0.7
"""Backlash gained per mm of ring gear, square to the tooth, where the card knows no geometry (common practice)."""

LEAST_MOVE_MM = 0.02
"""Two trials closer than this teach nothing about the rate: the gauge's own steps drown it."""

RATE_BAND = (0.3, 1.5)
"""Rates outside this come from slips, not from gears; the geometry is believed instead."""

LEARNED = mark("The last move showed {rate:.2f} mm of backlash for each mm of ring gear, so {move} is wanted.")
BY_GEOMETRY = mark(
    "By the gears' geometry each mm of ring gear is worth {rate:.2f} mm of backlash, so {move} is wanted."
)
WITH_OFFSET = mark(
    "By geometry without the pinion's offset each mm of ring gear is worth about {rate:.2f} mm of backlash, so {move} "
    "is a first step; the move itself will show the true rate."
)
ASSUMED = mark(
    "The card does not give the gears' sizes, so {rate:.2f} mm of backlash for each mm of ring gear is assumed (common "
    "practice), and {move} is wanted."
)


def advise(state: JobState, parts: Sequence[Part]) -> Advice | None:
    """Return the next pair to try, or None before a trial has been measured and after one was accepted."""
    stage = state.stage(KEY)
    limit = state.context.card.limits.get("backlash")
    measured = _measured(state, stage)
    if stage.accepted is not None or limit is None or limit.low is None or limit.high is None or not measured:
        return None
    trial, fitted, backlash_mm = measured[-1]
    if stage.trials[-1].verdict.answer is Answer.CONFORMS and stage.trials[-1].number == trial:
        return Advice(tr("Trial {trial} conforms", trial=trial), tr("Accept it; the rings stay as they are."))
    if limit.low <= backlash_mm <= limit.high:
        return None
    rate, reason = _rate(state, measured)
    move_mm = move_for_change_mm(0.5 * (limit.low + limit.high) - backlash_mm, rate)
    unit = _unit(state, trial)
    is_little = backlash_mm < limit.low
    wanted = _wanted(state, _kept(state, fitted), move_mm)
    return Advice(
        tr("Too little backlash") if is_little else tr("Too much backlash"),
        _direction(state, is_little=is_little) + " " + _fit(state, wanted, parts, move_mm, unit),
        tr(reason, rate=rate, move=show("length", abs(move_mm), unit)),
        wanted,
    )


def _measured(state: JobState, stage: StageState) -> list[tuple[int, RingPair, float]]:
    found = []
    for trial in stage.trials:
        fitted = pair(state.context, KEY, trial.number)
        mean_mm = next((d.value for d in trial.derived if d.derived.key == "backlash_mean"), None)
        if fitted is not None and mean_mm is not None:
            found.append((trial.number, fitted, mean_mm))
    return found


def _rate(state: JobState, measured: Sequence[tuple[int, RingPair, float]]) -> tuple[float, str]:
    """Return backlash per mm of ring gear withdrawn, and the sentence that says where it comes from."""
    for (_, before, before_mm), (_, after, after_mm) in zip(measured[-2::-1], measured[:0:-1], strict=True):
        move_mm = move_between_mm(before, after)
        if abs(move_mm) >= LEAST_MOVE_MM and RATE_BAND[0] <= (after_mm - before_mm) / move_mm <= RATE_BAND[1]:
            return (after_mm - before_mm) / move_mm, LEARNED
    rate = geometric_rate(state)
    if rate is None:
        return FALLBACK_RATE_RATIO, ASSUMED
    return rate, WITH_OFFSET if state.context.card.number("pinion_offset") else BY_GEOMETRY


def geometric_rate(state: JobState) -> float | None:
    """Return backlash square to the tooth at the heel per mm of ring gear withdrawn, from the card's geometry.

    None where the card does not give the sizes, or gives sizes that no pair of gears can have.
    """
    card, job = state.context.card, state.context.job
    diameter, face = card.number("gear_outer_diameter"), card.number("face_width")
    spiral, pressure = card.number("spiral_angle"), card.number("pressure_angle")
    if None in (diameter, face, spiral, pressure):
        return None
    try:
        geometry = bevel_geometry(job.pinion_teeth, job.ring_gear_teeth, diameter, face, spiral)  # type: ignore[arg-type]
        return lash_rates(geometry, pressure).normal_heel_ratio  # type: ignore[arg-type]
    except RangeError:
        return None


def _kept(state: JobState, fitted: RingPair) -> RingPair:
    """Return the fitted pair brought back to the sum preload fixed; both sides share the difference."""
    fixed_mm = accepted_sum_mm(state.context)
    half_mm = 0.0 if fixed_mm is None else 0.5 * (fixed_mm - fitted.sum_mm)
    return RingPair(fitted.ring_gear_side_mm + half_mm, fitted.opposite_side_mm + half_mm)


def _direction(state: JobState, *, is_little: bool) -> str:
    card = state.context.card
    if is_little:
        return tr(
            "The ring gear goes away from the pinion: thinner on {side}, thicker on {opposite}.",
            side=side_words(card, is_ring_gear_side=True),
            opposite=side_words(card, is_ring_gear_side=False),
        )
    return tr(
        "The ring gear goes toward the pinion: thicker on {side}, thinner on {opposite}.",
        side=side_words(card, is_ring_gear_side=True),
        opposite=side_words(card, is_ring_gear_side=False),
    )


def _wanted(state: JobState, kept: RingPair, move_mm: float) -> RingPair | None:
    """Return the pair that moves the ring gear that far, or None where nuts are turned or no ring reaches."""
    if is_set_by_nuts(state.context.job):
        return None
    smallest_mm, largest_mm = ring_range_mm(state.context) or (0.0, math.inf)
    thinner_mm, thicker_mm = (
        (kept.ring_gear_side_mm, kept.opposite_side_mm)
        if move_mm > 0.0
        else (kept.opposite_side_mm, kept.ring_gear_side_mm)
    )
    if abs(move_mm) >= min(thinner_mm - smallest_mm, largest_mm - thicker_mm):
        return None
    return swap(kept, move_mm)


def _fit(state: JobState, wanted: RingPair | None, parts: Sequence[Part], move_mm: float, unit: str) -> str:
    if is_set_by_nuts(state.context.job):
        return tr(
            "Move it {move}: turn one nut out and the other in by the same number of notches.",
            move=show("length", abs(move_mm), "mm"),
        )
    if wanted is None:
        return tr("No rings of this family reach that far: read the backlash again, then look at the spacer.")
    return fit_sentence(state.context.card, wanted, parts, sum_tolerance_mm(state.context), unit)


def _unit(state: JobState, trial: int) -> str:
    if is_set_by_nuts(state.context.job):
        return "mm"
    reading = state.context.reading(KEY, side_key(state.context.job, RING_GEAR_SIDE), trial=trial)
    return reading.unit if reading is not None else "mm"
