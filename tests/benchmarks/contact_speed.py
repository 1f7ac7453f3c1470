"""How long a print takes, and how much the grid is worth.

    PYTHONPATH=.:tests/support python tests/benchmarks/contact_speed.py

Set A of the check values; the best of several runs, so that other work on the machine counts least.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from contact_sets import SET_A

from core.mechanics.contact import ContactSet, Flank, Misalignment, contact_set

FINEST = (160, 80)
GRIDS = ((20, 10), (30, 16), (40, 20), (80, 40), FINEST)
MOVES = (Misalignment(), Misalignment(pinion_mm=0.1), Misalignment(gear_mm=0.1), Misalignment(offset_mm=0.1))


def best_ms(run: Callable[[], object], times: int) -> float:
    """Return the shortest of so many runs [ms]."""
    found = []
    for _ in range(times):
        begun = time.perf_counter()
        run()
        found.append(1000.0 * (time.perf_counter() - begun))
    return min(found)


def both_flanks(pair: ContactSet) -> None:
    """Ask for the prints after one move."""
    for flank in Flank:
        pair.patch(flank, MOVES[1])


def centres(pair: ContactSet) -> list[float]:
    """Return the centres of both flanks in place and after moves [%]."""
    prints = [pair.patch(flank, move).centre for flank in Flank for move in MOVES]
    return [100.0 * ratio for centre in prints for ratio in (centre.along_ratio, centre.depth_ratio)]


def main() -> None:
    """Print the table."""
    print(
        "| set | grid | set-up | both flanks | outline of one | centre against the finest |\n|---|---|---|---|---|---|"
    )
    for kind, gear_set in SET_A.items():
        finest = centres(contact_set(gear_set, FINEST))
        for grid in GRIDS:
            pair = contact_set(gear_set, grid)
            off = max(abs(one - other) for one, other in zip(centres(pair), finest, strict=True))
            made = best_ms(lambda grid=grid, gear_set=gear_set: contact_set(gear_set, grid), 5)
            asked = best_ms(lambda pair=pair: both_flanks(pair), 200)
            drawn = best_ms(lambda pair=pair: pair.outline(Flank.DRIVE, MOVES[1]), 20)
            print(f"| {kind} | {grid[0]} × {grid[1]} | {made:.0f} ms | {asked:.2f} ms | {drawn:.1f} ms | {off:.3f} % |")


if __name__ == "__main__":
    main()
