"""How long an answer takes with a full drawer: the median of many, printed.

PYTHONPATH=. python tests/benchmarks/advice_speed.py            a drawer of 400 rings
PYTHONPATH=. python tests/benchmarks/advice_speed.py --rings 60 a smaller one
"""

from __future__ import annotations

import argparse
import os
import statistics
import time
from collections.abc import Callable

from core.advice import lash_belief, torque_belief
from core.advice.choice import Piece, pairs_of
from core.advice.lash_belief import LashGauge, LashPrior, LashTrial
from core.advice.next_pair import Window, for_backlash, for_preload
from core.advice.torque_belief import TorqueGauge, TorquePrior, TorqueTrial

TORQUE, LASH = Window(0.5, 1.0), Window(0.065, 0.095)


def drawer_of(rings: int) -> list[Piece]:
    """Return so many measured rings between 2.30 and 2.80 mm."""
    return [Piece(at, round(2.30 + 0.5 * at / max(rings - 1, 1), 3), 0.0018, 1) for at in range(rings)]


def preload(pieces: list[Piece], trials: int) -> None:
    """Answer once at preload after so many trials."""
    told = [TorqueTrial(5.02, (0.05, 0.05)), TorqueTrial(5.12, (1.4, 1.45))][:trials]
    belief = torque_belief.believe(TorquePrior(5.05, 0.085), told, TorqueGauge(0.05, 0.045))
    lash = lash_belief.believe(LashPrior(0.10, 0.05, 0.7, 0.05), (), LashGauge())
    assert for_preload(belief, pieces, TORQUE, lash=lash, lash_window=LASH).best is not None


def backlash(pieces: list[Piece], trials: int) -> None:
    """Answer once at backlash after so many trials."""
    told = [LashTrial(0.0, 0.14), LashTrial(-0.04, 0.112)][:trials]
    belief = lash_belief.believe(LashPrior(0.10, 0.05, 0.7, 0.05), told, LashGauge())
    assert for_backlash(belief, pieces, LASH, sum_mm=5.1, tolerance_mm=0.02).best is not None


def median_s(answer: Callable[[list[Piece], int], None], pieces: list[Piece], trials: int, times: int) -> float:
    """Return the median time of an answer [s]."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        answer(pieces, trials)
        found.append(time.perf_counter() - start)
    return statistics.median(found)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rings", type=int, default=400)
    parser.add_argument("--times", type=int, default=31)
    asked = parser.parse_args()
    pieces = drawer_of(asked.rings)
    pairs = len(pairs_of(pieces).first)
    load = ", ".join(f"{one:.1f}" for one in os.getloadavg())
    print(f"{asked.rings} rings, {pairs} ordered pairs, median of {asked.times}; load {load} on {os.cpu_count()} cores")
    for answer in (preload, backlash):
        for trials in range(3):
            spent_ms = 1000.0 * median_s(answer, pieces, trials, asked.times)
            print(f"{answer.__name__:9} {trials} trials: {spent_ms:6.1f} ms", flush=True)


if __name__ == "__main__":
    main()
