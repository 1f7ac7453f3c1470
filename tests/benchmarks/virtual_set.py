"""Sets whose true geometry differs from what the card says, and how many moves bring their contact where it should be.

    PYTHONPATH=. python tests/benchmarks/virtual_set.py            the tables of DEVELOPERS.md
    PYTHONPATH=. python tests/benchmarks/virtual_set.py --sets 40  a quick look

Each set starts with its backlash within its limits and a print off the middle by more than a tenth of the tooth. The
card's geometry is what the shop knows; the truth has another cutter radius, spiral, pressure angle, sometimes another
cut, other crowns, a crest off the middle, a twist, an error of offset and another film. Seeds are fixed.
"""

from __future__ import annotations

import argparse
import os
import statistics
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from core.advice.contact import DOUBTFUL
from core.advice.contact_fit import READING_SDS
from core.advice.contact_model import Looked, Print
from core.advice.contact_scatter import Floats, Scatter, shop_scatter
from core.errors import RangeError
from core.mechanics.contact import Cut, Flank, GearSet, contact_set
from core.mechanics.contact.backlash import flank_rates
from core.mechanics.contact.patch import patch
from tests.benchmarks.set_workers import AIM, LASH, Next, by_advice, by_closed_forms, by_few_sizes, by_rule

RNG = np.random.Generator
MOVES = 4
JOBS_BEFORE = 32
FIRST_BEFORE = 100_000
"""Jobs a shop did before, and where their seeds begin: no set is among those worked on after."""


@dataclass(frozen=True)
class World:
    """How far truth is from the card, and how prints are read: `noise` multiplies the usual scatter."""

    noise: float = 1.0
    offset_sd_mm: float = 0.02
    twist_mm: float = 0.003


# -- truth -------------------------------------------------------------------------------------------------------------


def card_set(rng: RNG) -> GearSet:
    """Draw what the card says: half of the sets with an offset, formed; half without, generated."""
    has_offset = bool(rng.random() < 0.5)
    diameter_mm = float(rng.uniform(160.0, 240.0))
    pinion = int(rng.integers(9, 14))
    return GearSet(
        pinion_teeth=pinion,
        ring_gear_teeth=int(pinion * rng.uniform(3.0, 4.6)),
        outer_diameter_mm=diameter_mm,
        face_width_mm=0.15 * diameter_mm,
        spiral_angle_deg=float(rng.uniform(32.0, 37.0)),
        pressure_angle_deg=20.0,
        offset_mm=0.12 * diameter_mm if has_offset else 0.0,
        cutter_radius_mm=0.42 * diameter_mm * float(rng.uniform(0.92, 1.08)),
        cut=Cut.FORMED if has_offset else Cut.GENERATED,
    )


class Truth:
    """One set as it really is."""

    def __init__(self, card: GearSet, world: World, rng: RNG) -> None:
        other = Cut.FORMED if card.cut is Cut.GENERATED else Cut.GENERATED
        self.pair = contact_set(
            replace(
                card,
                cutter_radius_mm=(card.cutter_radius_mm or 80.0) * (1.0 + rng.uniform(-0.10, 0.10)),
                spiral_angle_deg=card.spiral_angle_deg + rng.uniform(-2.0, 2.0),
                pressure_angle_deg=card.pressure_angle_deg + rng.uniform(-1.5, 1.5),
                cut=card.cut if rng.random() < 0.8 else other,
            )
        )
        self.pinion_mm, self.gear_mm = rng.normal(0.0, 0.12), rng.normal(0.0, 0.08)
        self.offset_mm = rng.normal(0.0, world.offset_sd_mm)
        self.film_mm = 0.006 * (1.0 + rng.uniform(-0.2, 0.2))
        self.crowns = {
            flank: (
                0.030 * (1.0 + rng.uniform(-0.35, 0.35)),
                0.015 * (1.0 + rng.uniform(-0.35, 0.35)),
                rng.normal(0.0, 0.06),
                rng.normal(0.0, 0.06),
                rng.normal(0.0, world.twist_mm),
            )
            for flank in Flank
        }
        self.gear_rate = flank_rates(self.pair.cones).normal_heel_ratio
        self.pinion_rate = flank_rates(self.pair.cones, is_pinion=True).normal_heel_ratio
        self.made_for_mm = 0.08 + rng.normal(0.0, 0.01)
        # Backlash was set before the first print was taken.
        wanted_mm = rng.uniform(LASH.low, LASH.high)
        self.gear_mm += (wanted_mm - self.backlash_mm(0.0, 0.0)) / self.gear_rate

    def backlash_mm(self, pinion_mm: float, gear_mm: float) -> float:
        """Return the true backlash after a move."""
        pinion, gear = self.pinion_rate * (self.pinion_mm + pinion_mm), self.gear_rate * (self.gear_mm + gear_mm)
        return float(self.made_for_mm + pinion + gear)

    def print_on(self, flank: Flank, pinion_mm: float, gear_mm: float) -> tuple[float, float, float, float]:
        """Return centre and extents of the true print; crest off the middle and twist are no part of the model."""
        made, (length, profile, off, deep, twist) = self.pair.flanks[flank], self.crowns[flank]
        pinion, gear = self.pinion_mm + pinion_mm, self.gear_mm + gear_mm
        shift = np.array([pinion, self.offset_mm, -gear])
        along = made.along - 2.0 * float(made.cones.along @ shift) / made.cones.gear_set.face_width_mm - off
        depth = made.depth - 2.0 * float(made.cones.outward @ shift) / made.cones.working_depth_mm - deep
        relief = length * along**2 + profile * depth**2 + twist * made.along * made.depth
        opening = relief / made.mesh.lever_mm
        opening = opening + np.tensordot(np.array([pinion, gear, self.offset_mm]), made.mesh.rates, 1)
        error = made.transmission_error_rad(opening)
        below = error[made.phase_below]
        touched = below + made.phase_share * (error[made.phase_above] - below)
        gap = (opening - touched.reshape(opening.shape)) * made.mesh.lever_mm
        found = patch(gap, self.film_mm, made.cones.gear_set.face_width_mm, made.cones.working_depth_mm)
        return (
            found.centre.along_ratio,
            found.centre.depth_ratio,
            found.along_extent_ratio,
            found.depth_extent_ratio,
        )

    def is_good(self, pinion_mm: float, gear_mm: float) -> bool:
        """Tell whether both true prints are within a tenth of the middle."""
        centres = [share for flank in Flank for share in self.print_on(flank, pinion_mm, gear_mm)[:2]]
        return AIM.is_met(np.array(centres))

    def can_be_good(self) -> bool:
        """Tell whether some setting with backlash in its limits brings both prints there."""
        for away in np.arange(-0.5, 0.501, 0.05):
            pinion = float(away) - self.pinion_mm
            for lash_mm in (LASH.low, 0.08, LASH.high):
                gear = (lash_mm - self.backlash_mm(pinion, 0.0)) / self.gear_rate
                if self.is_good(pinion, gear):
                    return True
        return False

    def looked(self, pinion_mm: float, gear_mm: float, world: World, rng: RNG) -> Looked:
        """Return the prints and the backlash as they are read after a move."""
        prints = {}
        for flank in Flank:
            true = self.print_on(flank, pinion_mm, gear_mm)
            along, depth = (
                float(np.clip(share + world.noise * sd * rng.normal(), 0.0, 1.0))
                for share, sd in zip(true[:2], READING_SDS[:2], strict=True)
            )
            length, height = (
                float(share * (1.0 + world.noise * sd * rng.normal()))
                for share, sd in zip(true[2:], READING_SDS[2:], strict=True)
            )
            prints[flank] = Print(along, depth, length, height)
        return Looked(pinion_mm, gear_mm, prints, self.backlash_mm(pinion_mm, gear_mm) + 0.004 * rng.normal())


@dataclass
class Work:
    """What became of one set.

    `moves` is after how many moves it was good, None where it was not within `MOVES`. `said` is what was stated of a
    move and whether it came true, as long as the prints read asked for one. `hopeless` is how likely it was said that
    no setting helps, after the first print, the second and so on; `taught` how likely the prints came out under each
    scatter.
    """

    can: bool
    moves: int | None = None
    hopeless: list[float] = field(default_factory=list)
    said: list[tuple[float, bool]] = field(default_factory=list)
    taught: Floats | None = None

    def is_told_hopeless(self, prints: int) -> bool:
        """Tell whether within so many prints it was said that perhaps no setting helps."""
        return max(self.hopeless[:prints]) > DOUBTFUL


def work(seed: int, world: World, step: Next) -> Work | None:
    """Work on one set, or return None where its first print is good or no such set can be."""
    rng = np.random.default_rng([2407, seed])
    try:
        card = card_set(rng)
        pair, truth = contact_set(card), Truth(card, world, rng)
    except RangeError:
        return None
    if truth.is_good(0.0, 0.0):
        return None
    done = Work(truth.can_be_good())
    readings = [truth.looked(0.0, 0.0, world, rng)]
    is_asked = True
    for number in range(1, MOVES + 1):
        told = step(pair, readings)
        good = truth.is_good(told.pinion_mm, told.gear_mm)
        done.taught = told.taught
        if good and done.moves is None:
            done.moves = number
        if is_asked:
            # Who reads two centred prints moves nothing more, and is told no chance; that they are not truly centred
            # nobody in the shop knows, so that moves made for that reason say nothing of the chances stated.
            done.said.append((told.chance, good))
            done.hopeless.append(told.hopeless)
        readings.append(truth.looked(told.pinion_mm, told.gear_mm, world, rng))
        is_asked = is_asked and not _is_read_centred(readings[-1])
        if done.moves is not None and not is_asked:
            break
    return done


def _is_read_centred(reading: Looked) -> bool:
    return AIM.is_met(np.array([share for seen in reading.prints.values() for share in (seen.along, seen.depth)]))


def run(
    sets: int, world: World, step: Next, pool: ProcessPoolExecutor, *, can: bool = True, start: int = 0
) -> list[Work]:
    """Work on so many sets that some setting can bring right, or that none can."""
    found: list[Work] = []
    last = start + 60 * sets
    while len(found) < sets and start < last:
        for done in pool.map(partial(work, world=world, step=step), range(start, start + 2 * sets), chunksize=4):
            if done is not None and done.can == can and len(found) < sets:
                found.append(done)
        start += 2 * sets
    return found


def row(label: str, works: Sequence[Work]) -> str:
    """Return a row of the table."""
    shares = [100.0 * sum(w.moves is not None and w.moves <= most for w in works) / len(works) for most in (1, 2, 3, 4)]
    return f"| {label} | " + " | ".join(f"{share:.0f} %" for share in shares) + f" | {len(works)} |"


def calibration(works: Sequence[Work]) -> str:
    """Return how often what was said came true."""
    lines = []
    said = [one for w in works for one in w.said]
    for low, high in ((0.0, 0.5), (0.5, 0.7), (0.7, 0.8), (0.8, 0.9), (0.9, 1.01)):
        here = [(chance, good) for chance, good in said if low <= chance < high]
        if len(here) >= 10:
            mean = 100.0 * statistics.fmean(chance for chance, _ in here)
            came = 100.0 * sum(good for _, good in here) / len(here)
            lines.append(
                f"| {100 * low:.0f}–{min(100 * high, 100):.0f} % | {mean:.0f} % | {came:.0f} % | {len(here)} |"
            )
    return "| said | on average | came true | moves |\n|---|---|---|---|\n" + "\n".join(lines)


def shop(world: World, pool: ProcessPoolExecutor, jobs: int) -> Scatter:
    """Return what so many jobs before, on other sets, taught of how roughly prints are read."""
    before = run(jobs, world, by_advice, pool, start=FIRST_BEFORE)
    return shop_scatter([done.taught for done in before if done.taught is not None])


def hopeless_shares(works: Sequence[Work]) -> str:
    """Return how many were told that perhaps no setting helps, after the first print and within two."""
    shares = [100.0 * sum(w.is_told_hopeless(prints) for w in works) / len(works) for prints in (1, 2)]
    return f"{shares[0]:.0f} % after the first print, {shares[1]:.0f} % within two, of {len(works)}"


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sets", type=int, default=200)
    sets = parser.parse_args().sets
    head = "| who | 1 move | 2 | 3 | 4 | sets |\n|---|---|---|---|---|---|"
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        for title, world in (("read as usual", World()), ("read twice as roughly", World(noise=2.0))):
            known = partial(by_advice, scatter=shop(world, pool, JOBS_BEFORE))
            print(f"\n**Prints {title}**\n\n{head}", flush=True)
            print(row("common practice", run(sets, world, by_rule, pool)), flush=True)
            print(row("closed forms, all prints remembered", run(sets, world, by_closed_forms, pool)), flush=True)
            advised = {"first job of a shop": run(sets, world, by_advice, pool)}
            print(row("advice, first job of a shop", advised["first job of a shop"]), flush=True)
            after = f"after {JOBS_BEFORE} jobs"
            advised[after] = run(sets, world, known, pool)
            print(row(f"advice, {after}", advised[after]), flush=True)
            few = run(sets // 2, world, by_few_sizes, pool)
            print(row("advice, first job, the card gives only teeth, diameter and offset", few), flush=True)
            for name, works in (advised | {"only teeth, diameter and offset": few}).items():
                print(f"\nAdvice, {name}:\n\n{calibration(works)}", flush=True)
                print(f"\nThat perhaps no setting helps, said of sets where one does: {hopeless_shares(works)}")
            bent = replace(world, offset_sd_mm=0.15, twist_mm=0.010)
            lost = run(sets // 2, bent, known, pool, can=False)
            print(f"\nThe same, {after}, of sets where none does (offset wrong): {hopeless_shares(lost)}", flush=True)


if __name__ == "__main__":
    main()
