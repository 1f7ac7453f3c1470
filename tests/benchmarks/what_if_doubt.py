"""How near "what if" foretells the prints of sets that are not what their card says, and how right its doubt is.

    PYTHONPATH=. python tests/benchmarks/what_if_doubt.py            the table of DEVELOPERS.md
    PYTHONPATH=. python tests/benchmarks/what_if_doubt.py --sets 20  a quick look

The sets, and how their prints are read, are those of `virtual_set`. Each is asked for the print as its gears stand and
after moves of some lengths in any direction, once by the belief alone and once drawn from the print that was read.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from core.advice.contact_fit import believe_contact
from core.advice.contact_model import ContactPrior, Floats, Looked
from core.advice.what_if_own import own_of
from core.errors import RangeError
from core.mechanics.contact import ContactSet, Flank, contact_set
from core.mechanics.contact.backlash import flank_rates
from tests.benchmarks.set_workers import by_advice
from tests.benchmarks.virtual_set import RNG, Truth, World, card_set

MOVES_MM = (0.0, 0.05, 0.1, 0.2, 0.35, 0.5)
PRINTS = 3


@dataclass(frozen=True)
class Asked:
    """How far a set's centres came to lie from where they were foretold, (4,), and how sure that was.

    `print_number` is how many prints were read before, `move_mm` how long the move was; `by_belief` is what the belief
    alone was off, `off` what was off with the set's own, `sds` the standard deviations stated of it.
    """

    print_number: int
    move_mm: float
    by_belief: Floats
    off: Floats
    sds: Floats


def asked(seed: int, world: World, prints: int = PRINTS) -> list[Asked]:
    """Ask one set after its first print and the next ones; nothing where its first print is good, or no set can be."""
    rng = np.random.default_rng([2411, seed])
    try:
        card = card_set(rng)
        pair, truth = contact_set(card), Truth(card, world, rng)
    except RangeError:
        return []
    if truth.is_good(0.0, 0.0):
        return []
    found, readings = [], [truth.looked(0.0, 0.0, world, rng)]
    for number in range(1, prints + 1):
        found += [one for move_mm in MOVES_MM for one in _asked(pair, truth, readings, number, move_mm, rng)]
        if number < prints:
            said = by_advice(pair, readings)
            readings.append(truth.looked(said.pinion_mm, said.gear_mm, world, rng))
    return found


def _asked(
    pair: ContactSet, truth: Truth, readings: Sequence[Looked], number: int, move_mm: float, rng: RNG
) -> list[Asked]:
    # Of the later readings only the prints count, as in the advice.
    told = [readings[0], *(replace(reading, backlash_mm=None) for reading in readings[1:])]
    gear_rate, pinion_rate = (flank_rates(pair.cones, is_pinion=at).normal_heel_ratio for at in (False, True))
    belief = believe_contact(pair, ContactPrior(0.08, 0.03, gear_rate, pinion_rate), told)
    now = readings[-1].pinion_mm, readings[-1].gear_mm
    own, turn = own_of(belief, told, now), rng.uniform(0.0, 2.0 * np.pi)
    pinion_mm, gear_mm = move_mm * np.cos(turn), move_mm * np.sin(turn)
    there = now[0] + pinion_mm, now[1] + gear_mm
    true = np.array([truth.print_on(flank, *there)[:2] for flank in Flank]).ravel()
    offs, sds = own.after(pinion_mm, gear_mm, belief.slopes(*there))
    rest = true - belief.centres(*there)
    return [Asked(number, move_mm, rest, rest - offs, sds)]


def within_two(told: Sequence[Asked]) -> float:
    """Return how many of the centres lay within two of the standard deviations stated [-]."""
    return float(np.mean([np.abs(one.off) <= 2.0 * one.sds for one in told]))


def rms(told: Sequence[Floats]) -> tuple[float, float]:
    """Return the root of the mean square along and in depth, of both flanks."""
    along, depth = np.sqrt((np.array(told).reshape(-1, 2, 2) ** 2).mean(axis=(0, 1))).tolist()
    return along, depth


def _row(label: str, told: Sequence[Asked]) -> str:
    before, after = rms([one.by_belief for one in told]), rms([one.off for one in told])
    shares = (*before, *after)
    return "| {} | {:.1f} / {:.1f} % | {:.1f} / {:.1f} % | {:.0f} % |".format(
        label, *(100.0 * share for share in shares), 100.0 * within_two(told)
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sets", type=int, default=80, help="sets drawn; half of them print badly and are asked")
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        sets = range(parser.parse_args().sets)
        found = [one for many in pool.map(partial(asked, world=World()), sets, chunksize=2) for one in many]
    print("| prints read, move | belief alone, along / deep | from the print that was read | within two sds |")
    print("|---|---|---|---|")
    for number in range(1, PRINTS + 1):
        for move_mm in MOVES_MM:
            here = [one for one in found if (one.print_number, one.move_mm) == (number, move_mm)]
            print(_row(f"{number}, {move_mm:.2f} mm", here))


if __name__ == "__main__":
    main()
