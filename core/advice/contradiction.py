"""Trials that contradict each other: which reading to repeat first, and what to check."""

from __future__ import annotations

import statistics
from collections.abc import Mapping
from itertools import combinations

import numpy as np

from core.advice.answer import Again
from core.advice.torque_belief import TorqueBelief, TorqueTrial
from core.language import mark, tr
from core.quantities import show

DOUBTFUL = 0.5
"""An assembly more likely no good than good is read again first."""

FALLS = 3.0
"""Torque that falls on a larger sum by more than so many standard deviations contradicts itself."""

APART = 5.0
"""Readings of one assembly further apart than so many standard deviations are read again."""

LEAST_STEP_MM = 0.008
"""Sums closer together than this are told apart by no torque."""

CHECKS = mark(
    "Check that both cups are seated and in their own places, that no dirt is under a ring, and that the bearing "
    "grease is not cold."
)


def contradiction(trials: Mapping[int, TorqueTrial], belief: TorqueBelief, unit: str) -> tuple[str, Again | None]:
    """Return what does not agree, in words, and the reading to repeat; nothing where all agree.

    Only the last trial is still together: an earlier one that stands out is named, and what is in now is read again
    before anything is taken apart.

    Parameters
    ----------
    trials : mapping of int to TorqueTrial
        Trials by number.
    belief : TorqueBelief
        What is believed after them.
    unit : str
        Id of the unit of torque sentences are written in.
    """
    last = max(trials)
    torques = trials[last].torques_nm
    if len(torques) == 2 and abs(torques[0] - torques[1]) > APART * _sd_nm(belief, max(torques)):
        return (
            tr(
                "Forward and back differ, {one} and {other}: turn the carrier a few times and read both again before "
                "you take anything apart.",
                one=show("torque", torques[0], unit),
                other=show("torque", torques[1], unit),
            ),
            Again(last),
        )
    for one, other in _falling(trials, belief):
        low, high = (one, other) if trials[one].sum_mm < trials[other].sum_mm else (other, one)
        said = tr(
            "Trial {high} has the larger ring sum than trial {low} and yet turns more easily.", high=high, low=low
        )
        if last in (one, other):
            again = tr("Seat the bearings, turn the carrier a few times and read trial {trial} again.", trial=last)
            return f"{said} {again} {tr(CHECKS)}", Again(last)
        return f"{said} {tr(CHECKS)} {tr('The interval is wide until they agree.')}", None
    doubts = dict(zip(trials, belief.doubts, strict=True))
    if len(trials) == 1 and doubts[last] > DOUBTFUL:
        said = tr(
            "Trial {trial} reads {value}, far from what was to be expected: read it again before you take it apart.",
            trial=last,
            value=show("torque", statistics.fmean(torques), unit),
        )
        return f"{said} {tr(CHECKS)}", Again(last)
    if doubts[last] > DOUBTFUL:
        said = tr("Trial {trial} does not go with the others: read it again before you take it apart.", trial=last)
        return f"{said} {tr(CHECKS)}", Again(last)
    odd = [number for number, doubt in doubts.items() if doubt > DOUBTFUL]
    if len(trials) > 1 and odd:
        return tr("Trial {trial} does not go with the others and counts for little.", trial=odd[0]), None
    return "", None


def _falling(trials: Mapping[int, TorqueTrial], belief: TorqueBelief) -> list[tuple[int, int]]:
    """Return the pairs of trials whose torque falls as the sum grows, those with the last trial first."""
    found = []
    for one, other in combinations(sorted(trials, reverse=True), 2):
        thin, thick = sorted((trials[one], trials[other]), key=lambda trial: trial.sum_mm)
        before, after = statistics.fmean(thin.torques_nm), statistics.fmean(thick.torques_nm)
        scatter = float(np.hypot(*(belief.mean_sd_nm(np.asarray(mean), 2) for mean in (before, after))))
        if thick.sum_mm - thin.sum_mm >= LEAST_STEP_MM and before - after > FALLS * scatter:
            found.append((other, one))
    return found


def _sd_nm(belief: TorqueBelief, torque_nm: float) -> float:
    return float(np.sqrt(2.0) * belief.gauge.reading_sd_nm(np.asarray(torque_nm)))
