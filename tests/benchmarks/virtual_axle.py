"""An axle with hidden truth, and the shops that work on it: how many strip-downs each needs.

    PYTHONPATH=. python tests/benchmarks/virtual_axle.py            the tables of DEVELOPERS.md
    PYTHONPATH=. python tests/benchmarks/virtual_axle.py --axles 60 a quick look

What scatters from axle to axle is given as a standard deviation; what a gauge states is a limit its error never passes.
Seeds are fixed; nothing here is read from a logbook.
"""

from __future__ import annotations

import argparse
import math
import os
import statistics
from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from core.advice import lash_belief, torque_belief
from core.advice.lash_belief import LashGauge, LashTrial
from core.advice.next_pair import Found, Piece, Window, for_backlash, for_preload
from core.advice.priors import USUAL_INTERFERENCE_MM, Family, Here, PastJob, family_of, lash_prior, torque_prior
from core.advice.torque_belief import TorqueGauge, TorqueTrial
from core.mechanics.uncertainty import guard, reading_u

TORQUE, LASH = Window(0.5, 1.0), Window(0.06, 0.10)
TOLERANCE_MM = 0.02
MOST_TRIALS = 15
RNG = np.random.Generator


# -- truth -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class World:
    """How axles, gauges and hands are; the defaults are the nominal table's."""

    zero_sd_mm: float = 0.08
    found_sd_mm: float = 0.08  # the rings found were for another carrier
    stack_sd_mm: float = 0.02
    rise_log_sd: float = 0.10
    seating: float = 0.04
    wrong: float = 1.0 / 30.0
    lash_sd_mm: float = 0.03
    lash_seating_mm: float = 0.003
    shape: str = "power"


@dataclass(frozen=True)
class Kind:
    """A casing family in truth."""

    zero_mm: float
    rise_nm: float
    lash_mm: float
    rate: float
    geometric_rate: float


@dataclass(frozen=True)
class Axle:
    """One axle in truth, and what its shop can measure before the first trial."""

    world: World
    zero_mm: float
    rise_nm: float
    exponent: float
    drag_nm: float
    lash_mm: float
    rate: float
    runout_mm: float
    wrench: float
    dial_mm: float
    found_mm: float
    found_lash_mm: float
    stack_mm: float
    stack_lash_mm: float
    seat_mm: float

    def torque_nm(self, sum_mm: float) -> float:
        """Return the true turning torque [N·m] with a ring sum."""
        squeezed = max(sum_mm - self.zero_mm, 0.0)
        if self.world.shape == "soft" and squeezed > 0.04:
            # The casing gives way beyond: half as steep.
            squeezed = 0.04 + 0.5 * (squeezed - 0.04)
        if self.world.shape == "seat" and squeezed < self.seat_mm:
            # Below this the cup has not gone home and hardly squeezes.
            squeezed *= 0.2
        return self.drag_nm + self.rise_nm * (squeezed / 0.05) ** self.exponent

    def lash_at(self, move_mm: float) -> float:
        """Return the true mean backlash [mm] with the ring gear so far from an even split."""
        found = self.lash_mm + self.rate * move_mm
        return max(found + (1.5 * move_mm * move_mm if self.world.shape == "soft" else 0.0), 0.0)


def kind_of(rng: RNG) -> Kind:
    """Draw a casing family."""
    geometric = float(rng.uniform(0.55, 0.75))
    return Kind(
        float(rng.normal(5.05, 0.04)),
        0.70 * math.exp(0.2 * rng.normal()),
        float(rng.normal(0.08, 0.03)),
        geometric * (1.0 + 0.05 * rng.normal()),
        geometric,
    )


def axle_of(kind: Kind, world: World, rng: RNG) -> Axle:
    """Draw an axle of a family."""
    zero = kind.zero_mm + world.zero_sd_mm * rng.normal()
    # The spacer behind the ring gear brings it within reach of the rings there are.
    lash = float(np.clip(kind.lash_mm + world.lash_sd_mm * rng.normal(), 0.0, 0.16))
    return Axle(
        world,
        zero,
        kind.rise_nm * math.exp(world.rise_log_sd * rng.normal()),
        rng.uniform(1.05, 1.20),
        0.05 * math.exp(0.4 * rng.normal()),
        lash,
        kind.rate * (1.0 + 0.03 * rng.normal()),
        rng.uniform(0.003, 0.012),
        1.0 + rng.uniform(-0.06, 0.06),
        rng.uniform(-0.005, 0.005),
        zero + 0.05 + world.found_sd_mm * rng.normal(),
        lash + 0.04 * rng.normal(),
        zero + world.stack_sd_mm * rng.normal(),
        lash + 0.7 * world.stack_sd_mm * rng.normal(),
        rng.uniform(0.01, 0.03),
    )


def drawer_of(name: str, rng: RNG) -> tuple[list[Piece], dict[int, float]]:
    """Draw a drawer: its pieces as measured, and how thick they are in truth."""
    step = 0.05 if name == "0.05 mm steps" else 0.02
    pieces, true = [], {}
    for at, nominal in enumerate(np.arange(2.30, 2.801, step)):
        count = 3 if name != "half empty" else int(rng.random() < 0.5)
        true[at] = float(nominal + 0.004 * rng.normal())
        if count:
            pieces.append(Piece(at, float(round(true[at] + rng.uniform(-0.003, 0.003), 3)), 0.0018, count))
    return pieces, true


# -- what a trial shows ------------------------------------------------------------------------------------------------


def read_torques(axle: Axle, sum_mm: float, rng: RNG) -> Callable[[], tuple[float, float]]:
    """Assemble, and return how both directions are read; reading again needs no strip-down."""
    seated = axle.torque_nm(sum_mm) * (1.0 + axle.world.seating * rng.normal()) + 0.01 * rng.normal()

    def one() -> float:
        if rng.random() < axle.world.wrong:
            return float(round(rng.uniform(0.0, 3.0) / 0.05) * 0.05)
        read = max(seated, 0.0) * axle.wrench * (1.0 + 0.02 * rng.normal())
        return float(round(max(read, 0.0) / 0.05) * 0.05)

    return lambda: (one(), one())


def read_lash(axle: Axle, move_mm: float, rng: RNG) -> Callable[[], list[float]]:
    """Assemble, and return how eight places are read."""
    mean = axle.lash_at(move_mm) + axle.world.lash_seating_mm * rng.normal()
    phase = rng.uniform(0.0, 2.0 * math.pi)

    def one(place: int) -> float:
        if rng.random() < axle.world.wrong:
            return float(rng.uniform(0.0, 0.5))
        there = mean + axle.runout_mm * math.cos(2.0 * math.pi * place / 8.0 + phase) + axle.dial_mm
        return float(round(max(there + 0.003 * rng.normal(), 0.0) / 0.01) * 0.01)

    return lambda: [one(place) for place in range(8)]


def sound_torques(read: Callable[[], tuple[float, float]]) -> tuple[float, float]:
    """Return both directions, read again while they are far apart: every shop does that."""
    for _ in range(4):
        torques = read()
        if abs(torques[0] - torques[1]) <= 0.1 + 0.15 * max(torques):
            break
    return torques


def sound_lash(read: Callable[[], list[float]]) -> list[float]:
    """Return eight places, those far from the rest read again: every shop does that."""
    places = read()
    for _ in range(4):
        middle = statistics.median(places)
        if all(abs(place - middle) <= 0.04 for place in places):
            break
        again = read()
        places = [b if abs(a - middle) > 0.04 else a for a, b in zip(places, again, strict=True)]
    return places


# -- shops -------------------------------------------------------------------------------------------------------------


@dataclass
class Work:
    """What became of one axle in one shop."""

    preload: int = 0
    backlash: int = 0
    ordered: int = 0
    is_true_torque: bool = False
    is_true_lash: bool = False
    said: list[tuple[str, float, bool]] = field(default_factory=list)
    torque_trials: list[TorqueTrial] = field(default_factory=list)
    lash_trials: list[LashTrial] = field(default_factory=list)


@dataclass(frozen=True)
class Rule:
    """When a trial is accepted."""

    name: str
    torque: Window
    lash: Window


MEAN = Rule("mean within the limits", TORQUE, LASH)
ISO = Rule(
    "ISO 14253-1 verdict of the mean",
    TORQUE.pulled_in(guard(reading_u(0.05, 0.06 * 0.75))),
    LASH.pulled_in(guard(reading_u(0.01, 0.005))),
)


def holds(window: Window, value: float) -> bool:
    """Tell whether a mean is accepted."""
    return round(window.low - value, 9) <= 0.0 and round(value - window.high, 9) <= 0.0


class Shop(ABC):
    """Somebody who works on an axle; subclasses say what is fitted next."""

    name = ""

    def __init__(self, rule: Rule, pieces: list[Piece], true: dict[int, float]) -> None:
        self.rule, self.pieces, self.true = rule, pieces, true
        self.thick = {piece.key: piece.thickness_mm for piece in pieces}
        self.ordered = 0
        self.chance = math.nan

    def order(self, thickness_mm: float) -> int:
        """Have a ring made to measure; it comes as good as a micrometer tells."""
        key = max(self.true, default=0) + 1
        self.pieces.append(Piece(key, thickness_mm, 0.0018, 1))
        self.thick[key], self.true[key] = thickness_mm, thickness_mm + 0.0017 * math.sin(7.0 * key)
        self.ordered += 1
        return key

    def work(self, axle: Axle, rng: RNG) -> Work:
        """Set preload, then backlash."""
        done = Work()
        fitted = self.first_preload(axle)
        for _ in range(MOST_TRIALS):
            done.preload += 1
            sum_mm = self.true[fitted[0]] + self.true[fitted[1]]
            torques = sound_torques(read_torques(axle, sum_mm, rng))
            there_mm = self.thick[fitted[0]] + self.thick[fitted[1]]
            done.torque_trials.append(TorqueTrial(there_mm, torques, 0.0025, self.end_play(axle, sum_mm, torques, rng)))
            is_good = holds(self.rule.torque, statistics.fmean(torques))
            self.heard("preload", done, is_good)
            if is_good:
                break
            fitted = self.next_preload(axle, done)
        # Widened by what the gauge states and half of its step.
        true_nm = axle.torque_nm(self.true[fitted[0]] + self.true[fitted[1]])
        done.is_true_torque = TORQUE.low * 0.94 - 0.025 <= true_nm <= TORQUE.high * 1.06 + 0.025
        sum_mm = self.thick[fitted[0]] + self.thick[fitted[1]]
        fitted = self.first_backlash(axle, done, fitted, sum_mm)
        for _ in range(MOST_TRIALS):
            done.backlash += 1
            move_mm = 0.5 * (self.true[fitted[1]] - self.true[fitted[0]])
            places = sound_lash(read_lash(axle, move_mm, rng))
            mean_mm = statistics.fmean(places)
            done.lash_trials.append(LashTrial(0.5 * (self.thick[fitted[1]] - self.thick[fitted[0]]), mean_mm))
            is_good = holds(self.rule.lash, mean_mm)
            self.heard("backlash", done, is_good)
            if is_good:
                break
            fitted = self.next_backlash(axle, done, fitted, sum_mm)
        true_mm = axle.lash_at(0.5 * (self.true[fitted[1]] - self.true[fitted[0]]))
        done.ordered = self.ordered
        done.is_true_lash = LASH.low - 0.01 <= true_mm <= LASH.high + 0.01
        return done

    def end_play(self, axle: Axle, sum_mm: float, torques: tuple[float, float], rng: RNG) -> float | None:
        """Return the end play read of a loose carrier, None where nobody reads it."""
        return None

    def first_preload(self, axle: Axle) -> tuple[int, int]:
        """Return the first pair: the sum that was found."""
        return self.nearest(axle.found_mm, 0.0)

    @abstractmethod
    def next_preload(self, axle: Axle, done: Work) -> tuple[int, int]:
        """Return the next pair."""

    def first_backlash(self, axle: Axle, done: Work, fitted: tuple[int, int], sum_mm: float) -> tuple[int, int]:
        """Return the first pair with the ring gear bolted on: the one preload ended with."""
        return fitted

    @abstractmethod
    def next_backlash(self, axle: Axle, done: Work, fitted: tuple[int, int], sum_mm: float) -> tuple[int, int]:
        """Return the next pair."""

    def heard(self, stage: str, done: Work, is_good: bool) -> None:
        """Take note of the chance that was stated for a trial, and of what it came to."""
        done.said.append((stage, self.chance, is_good))

    def a_new_sum(self, done: Work, sum_mm: float) -> tuple[int, int]:
        """Return the pair nearest to a sum; where that sum was tried already, a ring is ordered for it."""
        pair = self.nearest(sum_mm, 0.0)
        there_mm = self.thick[pair[0]] + self.thick[pair[1]]
        if all(abs(there_mm - trial.sum_mm) > 1e-6 for trial in done.torque_trials):
            return pair
        return self.order(sum_mm - self.thick[pair[1]]), pair[1]

    def a_new_move(self, done: Work, sum_mm: float, move_mm: float) -> tuple[int, int]:
        """Return the pair nearest to a place of the ring gear; where it was tried already, two rings are ordered."""
        pair = self.nearest(sum_mm, move_mm, TOLERANCE_MM)
        there_mm = 0.5 * (self.thick[pair[1]] - self.thick[pair[0]])
        is_kept = abs(self.thick[pair[0]] + self.thick[pair[1]] - sum_mm) <= TOLERANCE_MM
        if is_kept and all(abs(there_mm - trial.move_mm) > 1e-6 for trial in done.lash_trials):
            return pair
        return self.order(0.5 * sum_mm - move_mm), self.order(0.5 * sum_mm + move_mm)

    def nearest(self, sum_mm: float, move_mm: float, tolerance_mm: float = math.inf) -> tuple[int, int]:
        """Return the pair that comes nearest, the sum first; with a tolerance of the sum, the split first."""
        thick = np.asarray([piece.thickness_mm for piece in self.pieces])
        off = np.abs(thick[:, None] + thick[None, :] - sum_mm)
        away = np.abs(0.5 * (thick[None, :] - thick[:, None]) - move_mm)
        off[np.diag([piece.count < 2 for piece in self.pieces])] = math.inf
        miss = off + 0.1 * away
        if (off <= tolerance_mm).any() and math.isfinite(tolerance_mm):
            miss = np.where(off <= tolerance_mm, away + 0.1 * off, math.inf)
        one, other = np.unravel_index(int(miss.argmin()), miss.shape)
        return self.pieces[one].key, self.pieces[other].key


class FixedSteps(Shop):
    """Steps by a fixed amount; halves it once both sides were seen."""

    step_mm = 0.1

    def next_preload(self, axle: Axle, done: Work) -> tuple[int, int]:
        means = [statistics.fmean(trial.torques_nm) for trial in done.torque_trials]
        is_loose = means[-1] < TORQUE.low
        turns = sum((a < TORQUE.low) != (b < TORQUE.low) for a, b in pairwise(means))
        step_mm = max(self.step_mm * 0.5**turns, 0.01)
        last_mm = done.torque_trials[-1].sum_mm
        return self.a_new_sum(done, last_mm + (step_mm if is_loose else -step_mm))

    def next_backlash(self, axle: Axle, done: Work, fitted: tuple[int, int], sum_mm: float) -> tuple[int, int]:
        means = [trial.mean_mm for trial in done.lash_trials]
        turns = sum((a < LASH.low) != (b < LASH.low) for a, b in pairwise(means))
        step_mm = max(self.step_mm * 0.5**turns, 0.01)
        move_mm = done.lash_trials[-1].move_mm + (step_mm if means[-1] < LASH.low else -step_mm)
        return self.a_new_move(done, sum_mm, move_mm)


class HalfSteps(FixedSteps):
    """The same by half the step."""

    step_mm = 0.05


class CarefulHand(Shop):
    """Works in proportion: between a loose and a tight trial, else by the slope seen, else one step."""

    def next_preload(self, axle: Axle, done: Work) -> tuple[int, int]:
        seen = sorted((t.sum_mm, statistics.fmean(t.torques_nm)) for t in done.torque_trials)
        target = 0.75
        below = [s for s in seen if s[1] < target]
        above = [s for s in seen if s[1] >= target]
        last_mm, last_nm = done.torque_trials[-1].sum_mm, statistics.fmean(done.torque_trials[-1].torques_nm)
        if below and above and min(above)[0] > max(below)[0]:
            (low_mm, low_nm), (high_mm, high_nm) = max(below), min(above)
            wanted = low_mm + (high_mm - low_mm) * (target - low_nm) / (high_nm - low_nm)
        elif last_nm > 0.2:
            # 14 N·m for a millimetre, as a hand that has done it before knows.
            wanted = last_mm + min(max((target - last_nm) / 14.0, -0.1), 0.1)
        else:
            wanted = last_mm + (0.05 if last_nm < target else -0.05)
        return self.a_new_sum(done, wanted)

    def next_backlash(self, axle: Axle, done: Work, fitted: tuple[int, int], sum_mm: float) -> tuple[int, int]:
        rate = 0.7
        if len(done.lash_trials) > 1:
            before, last = done.lash_trials[-2:]
            if abs(last.move_mm - before.move_mm) > 0.015:
                rate = min(max((last.mean_mm - before.mean_mm) / (last.move_mm - before.move_mm), 0.4), 1.2)
        last = done.lash_trials[-1]
        return self.a_new_move(done, sum_mm, last.move_mm + (0.08 - last.mean_mm) / rate)


class Advised(Shop):
    """Does what the advice says."""

    is_looking_ahead = True
    has_stack = False

    def __init__(self, rule: Rule, pieces: list[Piece], true: dict[int, float], family: Family, kind: Kind) -> None:
        super().__init__(rule, pieces, true)
        self.family, self.kind = family, kind

    def here(self, axle: Axle) -> Here:
        """Return what the shop measured before the first trial."""
        return Here(
            found_mm=axle.found_mm - USUAL_INTERFERENCE_MM,
            stack_mm=axle.stack_mm if self.has_stack else None,
            found_lash_mm=axle.stack_lash_mm if self.has_stack else axle.found_lash_mm,
            has_heights=self.has_stack,
            geometric_rate=self.kind.geometric_rate,
        )

    def taken(self, found: Found) -> tuple[int, int] | None:
        """Return the pair advised, or None where the shop has the ring made that is named beside it."""
        best = 0.0 if found.best is None else found.best.chance
        if found.best is None or (found.ideal_chance > 0.5 and found.ideal_chance - best > 0.2):
            self.chance = found.ideal_chance
            return None
        self.chance = found.best.chance
        return found.best.pieces

    def ask_preload(self, axle: Axle, trials: Sequence[TorqueTrial]) -> tuple[int, int]:
        here = self.here(axle)
        belief = torque_belief.believe(torque_prior(self.family, here), trials, TorqueGauge(0.05, 0.045))
        lash = lash_belief.believe(lash_prior(self.family, here, 0.08), (), LashGauge(0.01, 0.005))
        found = for_preload(
            belief,
            self.pieces,
            self.rule.torque,
            lash=lash,
            lash_window=self.rule.lash,
            is_looking_ahead=self.is_looking_ahead,
        )
        pair = self.taken(found)
        if pair is None:
            partner = min(self.pieces, key=lambda piece: abs(piece.thickness_mm - 0.5 * found.ideal_mm))
            pair = self.order(found.ideal_mm - partner.thickness_mm), partner.key
        return pair

    def ask_backlash(self, axle: Axle, trials: Sequence[LashTrial], sum_mm: float) -> tuple[int, int]:
        prior = lash_prior(self.family, self.here(axle), 0.08)
        belief = lash_belief.believe(prior, trials, LashGauge(0.01, 0.005))
        found = for_backlash(belief, self.pieces, self.rule.lash, sum_mm=sum_mm, tolerance_mm=TOLERANCE_MM)
        pair = self.taken(found)
        if pair is None:
            half_mm = 0.5 * sum_mm
            pair = self.order(half_mm - found.ideal_mm), self.order(half_mm + found.ideal_mm)
        return pair

    def first_preload(self, axle: Axle) -> tuple[int, int]:
        return self.ask_preload(axle, ())

    def next_preload(self, axle: Axle, done: Work) -> tuple[int, int]:
        return self.ask_preload(axle, done.torque_trials)

    def first_backlash(self, axle: Axle, done: Work, fitted: tuple[int, int], sum_mm: float) -> tuple[int, int]:
        return self.ask_backlash(axle, (), sum_mm)

    def next_backlash(self, axle: Axle, done: Work, fitted: tuple[int, int], sum_mm: float) -> tuple[int, int]:
        return self.ask_backlash(axle, done.lash_trials, sum_mm)


class Greedy(Advised):
    """The advice by the chance of this trial alone."""

    is_looking_ahead = False


class WithEndPlay(Advised):
    """The advice where the end play of a loose trial is read."""

    def end_play(self, axle: Axle, sum_mm: float, torques: tuple[float, float], rng: RNG) -> float | None:
        if statistics.fmean(torques) > 0.2:
            return None
        if rng.random() < axle.world.wrong:
            return float(rng.uniform(0.0, 0.5))
        slides = max(axle.zero_mm - sum_mm, 0.0) + 0.01 * rng.normal()
        return float(round(max(slides, 0.0) / 0.01) * 0.01)


class WithStack(Advised):
    """The advice where the stack was measured."""

    has_stack = True


def past_job(axle: Axle, done: Work, kind: Kind) -> PastJob:
    """Return what a finished axle taught its shop, as `core.advice.lessons` would."""
    wide = torque_belief.TorquePrior(done.torque_trials[-1].sum_mm - 0.05, 0.15)
    torque = torque_belief.believe(wide, done.torque_trials, TorqueGauge(0.05, 0.045))
    last = done.lash_trials[-1]
    prior = lash_belief.LashPrior(last.mean_mm, 0.2, kind.geometric_rate, 0.15 * kind.geometric_rate, last.move_mm)
    lash = lash_belief.believe(prior, done.lash_trials, LashGauge(0.01, 0.005))
    rate, rate_sd = lash.rate
    return PastJob(
        zero_mm=torque.zero,
        log_rise=torque.log_rise,
        lash_mm=lash.at_even_split,
        rate_ratio=(rate / kind.geometric_rate, rate_sd / kind.geometric_rate),
        found_mm=axle.found_mm - USUAL_INTERFERENCE_MM,
        found_lash_mm=axle.found_lash_mm,
    )


# -- tables ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Case:
    """A row: who works, with what drawer, rule, world and how many earlier jobs of the family."""

    label: str
    shop: type[Shop]
    drawer: str
    rule: Rule = MEAN
    world: World = World()
    history: int = 0


AT_ONCE = 5
"""Axles of one family where it has a history, told once for them; without one each axle is of another family."""


def works_of(case: Case, seed: int, axles: int) -> list[Work]:
    """Work on so many axles of one family; the same seed gives every shop the same axles."""
    rng = np.random.default_rng([2407, seed])
    kind = kind_of(rng)
    family = family_of(())
    if case.history:
        past = []
        told = np.random.default_rng([1183, seed])
        for _ in range(case.history):
            pieces, true = drawer_of("0.02 mm steps", told)
            axle = axle_of(kind, case.world, told)
            past.append(past_job(axle, CarefulHand(MEAN, pieces, true).work(axle, told), kind))
        family = family_of(past)
    works = []
    for number in range(axles):
        own = np.random.default_rng([977, seed, number])
        axle = axle_of(kind, case.world, own)
        pieces, true = drawer_of(case.drawer, own)
        shop = (
            case.shop(case.rule, pieces, true, family, kind)
            if issubclass(case.shop, Advised)
            else case.shop(case.rule, pieces, true)
        )
        works.append(shop.work(axle, np.random.default_rng([31, seed, number])))
    return works


def run(case: Case, axles: int, pool: ProcessPoolExecutor) -> list[Work]:
    """Work on all axles of a row."""
    at_once = AT_ONCE if case.history else 1
    families = max(axles // at_once, 1)
    found = pool.map(works_of, [case] * families, range(families), [at_once] * families, chunksize=8 // at_once)
    return [work for works in found for work in works]


def row(case: Case, works: Sequence[Work]) -> str:
    """Return a row of the table."""

    def spread(of: Callable[[Work], int]) -> str:
        counts = sorted(of(work) for work in works)
        nearly_all = counts[math.ceil(0.95 * len(counts)) - 1]
        return f"{statistics.median(counts):.0f} / {statistics.fmean(counts):.2f} / {nearly_all}"

    within_two = 100.0 * sum(work.preload <= 2 for work in works) / len(works)
    true = 100.0 * sum(work.is_true_torque and work.is_true_lash for work in works) / len(works)
    return (
        f"| {case.label} | {spread(lambda w: w.preload)} | {within_two:.0f} % | {spread(lambda w: w.backlash)} "
        f"| {spread(lambda w: w.preload + w.backlash)} | {true:.1f} % "
        f"| {statistics.fmean(work.ordered for work in works):.2f} |"
    )


HEAD = """| shop | preload: median / mean / 95 % | within 2 | backlash | whole job | truly within | rings made |
|---|---|---|---|---|---|---|"""


def calibration(works: Sequence[Work], stage: str) -> str:
    """Return how often what was said came true, by tenths of what was said."""
    said = [(chance, is_good) for work in works for where, chance, is_good in work.said if where == stage]
    lines = []
    for low in range(10):
        here = [
            (chance, good)
            for chance, good in said
            if 0.1 * low <= chance < 0.1 * low + 0.1 or (low == 9 and chance >= 1.0)
        ]
        if len(here) >= 30:
            mean = 100.0 * statistics.fmean(chance for chance, _ in here)
            came = 100.0 * sum(good for _, good in here) / len(here)
            lines.append(f"| {10 * low}–{10 * low + 10} % | {mean:.0f} % | {came:.0f} % | {len(here)} |")
    return f"| said at {stage} | on average | came true | advices |\n|---|---|---|---|\n" + "\n".join(lines)


DRAWERS = ("0.02 mm steps", "0.05 mm steps", "half empty")


def cases(drawer: str, rule: Rule = MEAN, world: World = World(), *, is_whole: bool = False) -> list[Case]:
    """Return the rows of a table; the whole of them only for the first, for the others those that tell most."""
    rows = [
        Case("fixed steps of 0.10 mm", FixedSteps, drawer, rule, world),
        Case("fixed steps of 0.05 mm", HalfSteps, drawer, rule, world),
        Case("a careful hand", CarefulHand, drawer, rule, world),
        Case("advice, this trial alone", Greedy, drawer, rule, world),
        Case("advice", Advised, drawer, rule, world),
        Case("advice, end play read when loose", WithEndPlay, drawer, rule, world),
        Case("advice, 5 jobs of the family", Advised, drawer, rule, world, 5),
        Case("advice, 20 jobs", Advised, drawer, rule, world, 20),
        Case("advice, 100 jobs", Advised, drawer, rule, world, 100),
        Case("advice, stack measured", WithStack, drawer, rule, world),
    ]
    if is_whole:
        return rows
    told = (
        (FixedSteps, HalfSteps, CarefulHand, Advised, WithStack)
        if world == World()
        else (CarefulHand, Advised, WithStack)
    )
    return [row for row in rows if row.shop in told and row.history in (0, 20)]


WORLDS = {
    "the casing gives way beyond 0.04 mm; backlash bends": replace(World(), shape="soft"),
    "a cup goes home only when squeezed": replace(World(), shape="seat"),
    "seating scatters twice as much, one reading in fifteen is wrong": replace(
        World(), seating=0.08, wrong=1.0 / 15.0, lash_seating_mm=0.006
    ),
    "axles scatter twice as much": replace(World(), zero_sd_mm=0.15, found_sd_mm=0.15, rise_log_sd=0.2),
}


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--axles", type=int, default=1000)
    parser.add_argument("--only", default="", help="rows whose label has this")
    parser.add_argument("--first", action="store_true", help="the first table alone")
    asked = parser.parse_args()
    tables = [(f"Drawer with {d}, {MEAN.name}", cases(d, is_whole=d == DRAWERS[0])) for d in DRAWERS]
    tables.append((f"Drawer with {DRAWERS[0]}, {ISO.name}", cases(DRAWERS[0], ISO)))
    tables += [(f"{what}", cases(DRAWERS[0], MEAN, world)) for what, world in WORLDS.items()]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        for title, rows in tables[:1] if asked.first else tables:
            print(f"\n**{title}** ({asked.axles} axles)\n\n{HEAD}", flush=True)
            advised: list[Work] = []
            for case in rows:
                if asked.only in case.label:
                    works = run(case, asked.axles, pool)
                    advised += works if issubclass(case.shop, Advised) else []
                    print(row(case, works), flush=True)
            for stage in ("preload", "backlash"):
                print(f"\n{calibration(advised, stage)}", flush=True)


if __name__ == "__main__":
    main()
