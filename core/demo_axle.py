"""An invented axle of the demo shop: what its gauges show, whatever pair is fitted.

A few jobs of the demo were set by the advice of their day. Which pair that is nobody knows before the shop's earlier
jobs are told, so their readings cannot be written down: they are read off an axle that has a size of its own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.facts import Job
from core.stages import preload, stage
from core.stages.sides import SIDES, side_key
from core.verdict import Answer
from core.workshop import Workshop
from core.workshop.bench import Typed

EXPONENT = 1.11
"""Rollers give F ∝ δ^1.11, and slow hand-turned torque is in proportion to F (`core.mechanics.preload`)."""
MOST_TRIALS = 5


@dataclass(frozen=True)
class Axle:
    """What an axle is like, and what is read on it.

    Attributes
    ----------
    zero_mm : float
        Sum of both sides at no clearance.
    rise_nm, drag_nm : float
        What 0.05 mm of interference adds to the turning torque, and the torque without any.
    even_mm, rate : float
        Backlash at an even split, and what a millimetre of the ring gear's way adds.
    runout_mm : float
        How far the backlash swings around its mean.
    seats_mm : sequence of float
        By how much the sum comes out larger than its rings, trial by trial: no assembly seats like the last.
    """

    zero_mm: float
    even_mm: float
    rise_nm: float = 0.7
    drag_nm: float = 0.05
    rate: float = 0.7
    runout_mm: float = 0.008
    seats_mm: Sequence[float] = (0.0,)

    def read(self, stage_key: str, sides_mm: tuple[float, float], trial: int, gauges: Mapping[str, int]) -> list[Typed]:
        """Return what the gauges show of a trial, in steps of 0.05 N·m and 0.01 mm."""
        if stage_key == preload.KEY:
            text = f"{round(self._torque_nm(sides_mm, trial) / 0.05) * 0.05:.2f} N·m"
            return [Typed(key, text, gauge_id=gauges["torque"]) for key in ("torque_forward", "torque_back")]
        entry = stage(stage_key).entry("backlash")
        mean = self.even_mm + self.rate * (sides_mm[1] - sides_mm[0]) / 2.0
        swings = (math.sin(math.tau * at / len(entry.positions)) for at in range(len(entry.positions)))
        texts = [f"{max(mean + self.runout_mm * swing, 0.0):.2f} mm" for swing in swings]
        return [
            Typed(entry.key, text, position.key, gauges["dial"])
            for text, position in zip(texts, entry.positions, strict=True)
        ]

    def _torque_nm(self, sides_mm: tuple[float, float], trial: int) -> float:
        squeezed = sum(sides_mm) + self.seats_mm[(trial - 1) % len(self.seats_mm)] - self.zero_mm
        return self.drag_nm + self.rise_nm * math.pow(max(squeezed, 0.0) / 0.05, EXPONENT)


def tell_as_advised(
    workshop: Workshop, job: Job, stage_key: str, axle: Axle, person: str, gauges: Mapping[str, int]
) -> None:
    """Fit on a stage what is advised, read it, and go on by the next advice until a trial conforms; accept that.

    Raises
    ------
    LookupError
        Nothing is advised, or nothing conformed after some trials: the axle is of a size no shop would meet.
    """
    for trial in range(1, MOST_TRIALS + 1):
        advice = workshop.advice(job.id, stage_key)
        if advice is None or advice.offer is None:
            break
        pair = advice.offer.pair
        sides_mm = pair.ring_gear_side_mm, pair.opposite_side_mm
        fitted = advice.offer.notches or [f"{thickness:.3f} mm" for thickness in sides_mm]
        typed = [Typed(side_key(job, side), str(text)) for side, text in zip(SIDES, fitted, strict=True)]
        typed += axle.read(stage_key, sides_mm, trial, gauges)
        workshop.record_all(job.id, stage_key, typed, trial=trial, person=person)
        if workshop.state(job.id).stage(stage_key).trials[-1].verdict.answer is Answer.CONFORMS:
            workshop.record(job.id, stage_key, "accepted", "yes", trial=trial, person=person)
            return
    raise LookupError(f"no trial of job {job.number} conformed at {stage_key}")
