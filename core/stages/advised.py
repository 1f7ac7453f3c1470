"""What was advised for a trial, beside what was then fitted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from core.facts import Advised
from core.language import tr
from core.stages.context import Context
from core.stages.entry import Derived, Stage
from core.stages.sides import pair

FOLLOWED_WITHIN_MM = 0.005
"""A pair is the one advised where both sides agree so well [mm]: what a micrometer reads twice (common practice)."""

JOINED_BY = " · "
"""What stands between the two places of a pair, ring-gear side first."""


_MEANS = {"preload": "torque_mean", "backlash": "backlash_mean"}


def mean_of(declared: Stage) -> Derived | None:
    """Return the computed value that what was expected is to be compared with; None where no pairs are advised."""
    return next((one for one in declared.derived if one.key == _MEANS.get(declared.key)), None)


def counting(advised: Iterable[Advised], stage: str) -> dict[int, Advised]:
    """Return what counts of what was advised on a stage, by trial: the last that was said of it."""
    return {one.trial: one for one in advised if one.stage == stage}


def is_followed(context: Context, advised: Advised) -> bool | None:
    """Tell whether the pair advised was fitted, or None while the trial lacks a side.

    Parameters
    ----------
    context : Context
        The job.
    advised : Advised
        What was advised for one of its trials.
    """
    fitted = pair(context, advised.stage, advised.trial)
    if fitted is None:
        return None
    return are_same_pieces(
        (fitted.ring_gear_side_mm, fitted.opposite_side_mm), (advised.ring_gear_side_mm, advised.opposite_side_mm)
    )


def are_same_pieces(fitted_mm: Sequence[float], advised_mm: Sequence[float]) -> bool:
    """Tell whether what is fitted is what was advised, piece by piece [mm]."""
    # Rounded far below any gauge, so that a difference of just so much does not hang on the last bit.
    return len(fitted_mm) == len(advised_mm) and all(
        round(abs(fitted - said), 9) <= FOLLOWED_WITHIN_MM for fitted, said in zip(fitted_mm, advised_mm, strict=True)
    )


def percent(chance: float) -> str:
    """Return a chance as people say it: whole per cent, never a certainty.

    Examples
    --------
    >>> percent(0.837), percent(0.999), percent(0.002)
    ('84 %', 'over 99 %', 'under 1 %')
    """
    if chance > 0.99:
        return tr("over 99 %")
    if chance < 0.01:
        return tr("under 1 %")
    return tr("{chance} %", chance=round(100.0 * chance))
