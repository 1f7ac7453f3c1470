"""Photos of painted teeth whose print is known, read: how far the centre is off, what is refused, what is invented.

    PYTHONPATH=.:tests/support python tests/benchmarks/photo_reading.py                 the table of DEVELOPERS.md
    PYTHONPATH=.:tests/support python tests/benchmarks/photo_reading.py --pictures 40   a quick look
    PYTHONPATH=.:tests/support python tests/benchmarks/photo_reading.py --fit           weights of the confidence

Seeds are fixed; those the confidence was fitted to are others than those it is judged by. Corners are clicked 2 pixels
off (standard deviation). Interrupted, it prints the table of what was read so far.
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize
from tooth_renderer import Rendered, clicked, random_scene, render, without_print

from core import photos
from core.errors import InputError
from core.tooth_photo import ToothReading, read_tooth

ALONG, DEPTH = 0.03, 0.04
"""How near the centre is to be."""
FIT, FIT_WITHOUT = range(50_000, 50_260), range(60_000, 60_140)


@dataclass(frozen=True)
class Tried:
    """One picture, read: what came out (None where refused), on some with the taper untold too, and the time."""

    has_print: bool
    truth: Rendered
    is_transferred: bool
    reading: ToothReading | None
    untold: ToothReading | None
    seconds: float

    def off(self, reading: ToothReading) -> tuple[float, float]:
        """Return how far a centre is off, along and in depth."""
        centre = reading.patch.centre
        return centre.along_ratio - self.truth.centre[0], centre.depth_ratio - self.truth.centre[1]

    @property
    def is_right(self) -> bool:
        """Whether the centre is as near as it is to be."""
        if self.reading is None or not self.has_print:
            return False
        along, depth = self.off(self.reading)
        return abs(along) <= ALONG and abs(depth) <= DEPTH


def _read(image: bytes, corners: tuple[tuple[float, float], ...], taper: float) -> ToothReading | None:
    try:
        return read_tooth(image, corners, toe_to_heel_depth_ratio=taper)
    except InputError:
        return None


def painted(seed: int) -> Tried:
    """Read a picture with a print."""
    scene = random_scene(seed)
    truth = render(scene)
    image, corners = photos.prepare(truth.jpeg).image, clicked(truth, seed)
    start = time.perf_counter()
    reading = _read(image, corners, scene.taper)
    seconds = time.perf_counter() - start
    untold = _read(image, corners, 1.0) if seed % 10 == 0 else None
    return Tried(True, truth, scene.is_transferred, reading, untold, seconds)


def plain(seed: int) -> Tried:
    """Read a picture without a print."""
    truth = without_print(seed)
    start = time.perf_counter()
    reading = _read(photos.prepare(truth.jpeg).image, truth.corners, 1.0)
    return Tried(False, truth, False, reading, None, time.perf_counter() - start)


def _job(told: tuple[Callable[[int], Tried], int]) -> Tried:
    return told[0](told[1])


def tried(jobs: list[tuple[Callable[[int], Tried], int]], workers: int) -> Iterator[Tried]:
    """Yield each picture as it was read, and say on the way how far it is."""
    # Started in the background, a process would not hear of it.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    with ProcessPoolExecutor(workers) as pool:
        try:
            for count, each in enumerate(pool.map(_job, jobs), 1):
                if count % 50 == 0:
                    print(f"{count} of {len(jobs)}", file=sys.stderr, flush=True)
                yield each
        except KeyboardInterrupt:
            pool.shutdown(cancel_futures=True)


def table(results: list[Tried]) -> None:
    """Print what DEVELOPERS.md shows."""
    with_print = [r for r in results if r.has_print]
    without = [r for r in results if not r.has_print]
    read = [(r, r.reading) for r in with_print if r.reading]
    off = np.abs([r.off(reading) for r, reading in read])
    line("pictures with a print, refused of them", f"{len(with_print)}, {len(with_print) - len(read)}")
    for axis, name, goal in ((0, "along", ALONG), (1, "in depth", DEPTH)):
        half, most = np.percentile(off[:, axis], [50, 95])
        line(f"centre {name}: median, 95 % within", f"{half:.1%}, {most:.1%}")
        line(f"centre {name} within {goal:.0%}, of those read", f"{(off[:, axis] <= goal).mean():.1%}")
    line("centre right both ways, of those read", f"{np.mean([r.is_right for r, _ in read]):.1%}")
    line("centre right both ways, of all", f"{np.mean([r.is_right for r in with_print]):.1%}")
    for name in ("along_ends", "depth_ends"):
        wrong = [np.diff(getattr(reading.patch, name))[0] - np.diff(getattr(r.truth, name))[0] for r, reading in read]
        most = np.percentile(np.abs(wrong), 95)
        line(f"extent {name.split('_')[0]}: mean error, 95 % within", f"{np.mean(wrong):+.1%}, {most:.1%}")
    kinds = np.mean([(reading.kind == "transferred") == r.is_transferred for r, reading in read])
    line("displaced told from transferred", f"{kinds:.1%}")
    untold = [np.abs(r.off(r.untold)[0]) for r in with_print if r.untold]
    if untold:
        half, most = np.percentile(untold, [50, 95])
        line(f"centre along, taper not told ({len(untold)}): median, 95 % within", f"{half:.1%}, {most:.1%}")
    line(
        "pictures without a print, read all the same", f"{len(without)}, {sum(r.reading is not None for r in without)}"
    )
    line("time a picture, median", f"{np.median([r.seconds for r in results]):.2f} s")
    for low, high in ((0.5, 0.7), (0.7, 0.85), (0.85, 0.95), (0.95, 1.0)):
        band = [(r, r.reading.confidence) for r in results if r.reading and low <= r.reading.confidence < high]
        if band:
            said, right = np.mean([c for _, c in band]), np.mean([r.is_right for r, _ in band])
            line(f"confidence {low:.2f} to {high:.2f} ({len(band)}): said, right", f"{said:.2f}, {right:.2f}")


def line(what: str, measured: str) -> None:
    """Print one row of the table."""
    print(f"| {what} | {measured} |")


# -- weights of the confidence -----------------------------------------------------------------------------------------


def _signs(told: tuple[bool, int]) -> tuple[np.ndarray | None, bool]:
    from core.tooth_photo.confidence import signs
    from core.tooth_photo.corners import checked_corners
    from core.tooth_photo.flank_view import view
    from core.tooth_photo.outline import measured, softened
    from core.tooth_photo.reader import found_on

    has_print, seed = told
    scene = random_scene(seed)
    truth = render(scene) if has_print else without_print(seed)
    picture = photos.opened(photos.prepare(truth.jpeg).image)
    corners = checked_corners(clicked(truth, seed) if has_print else truth.corners, picture.size)
    flank = view(picture, corners, scene.taper if has_print else 1.0)
    found = found_on(flank)
    if not found:
        return None, False
    centre = measured(softened(found[0].mask), 4.0).centre
    off = abs(centre.along_ratio - truth.centre[0]), abs(centre.depth_ratio - truth.centre[1])
    return signs(found, flank, corners), has_print and off[0] <= ALONG and off[1] <= DEPTH


def fit() -> None:
    """Print the weights that make what was right on the fitting pictures most probable, kept small."""
    with ProcessPoolExecutor(2) as pool:
        told = list(pool.map(_signs, [(True, seed) for seed in FIT] + [(False, seed) for seed in FIT_WITHOUT]))
    rows = np.array([signs for signs, _ in told if signs is not None])
    right = np.array([is_right for signs, is_right in told if signs is not None])

    def unlikely(weights: np.ndarray) -> float:
        odds = rows @ weights
        return float(np.logaddexp(0, np.where(right, -odds, odds)).sum() + 0.15 * (weights[1:] ** 2).sum())

    print(tuple(minimize(unlikely, np.zeros(rows.shape[1])).x.round(2).tolist()))


def main() -> None:
    """Read so many pictures, a seventh as many without a print, and print the table."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--pictures", type=int, default=500)
    asked.add_argument("--workers", type=int, default=2)
    asked.add_argument("--fit", action="store_true")
    args = asked.parse_args()
    if args.fit:
        fit()
        return
    jobs: list[tuple[Callable[[int], Tried], int]] = []
    for seed in range(args.pictures):
        jobs.append((painted, seed))
        if seed % 7 == 0:
            jobs.append((plain, 30_000 + seed // 7))
    table(list(tried(jobs, args.workers)))


if __name__ == "__main__":
    # Each worker has one core.
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    main()
