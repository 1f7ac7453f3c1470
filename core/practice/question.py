"""A question of the practice: an invented set, where its gears were put, and what every move would do to the prints."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from itertools import count, product

import numpy as np

from core.errors import RangeError
from core.mechanics.checks import at_least
from core.mechanics.contact import ContactSet, Crown, Cut, Flank, GearSet, Hand, Misalignment, Patch, contact_set
from core.mechanics.contact.backlash import flank_rates
from core.mechanics.contact.geometry import Floats
from core.mechanics.contact.outline import area_ratio, outline
from core.mechanics.contact.patch import FILM_MM, patch
from core.mechanics.pattern import ALONG_BAND, DEPTH_BAND

STEPS_MM = (0.02, 0.05, 0.10, 0.15, 0.20, 0.25, 0.30)
"""How far a gear can be moved in an answer [mm]."""

BACKLASH_MM = (0.08, 0.16)
"""Limits of the backlash of the invented sets, square to the tooth at the heel [mm] (common practice)."""

WELL, OFF = 0.8, 1.25
"""Nothing asked is a close call: what is centred has a miss below the one, what is not has one above the other."""

HOLLOW_MM, HOLLOW_REACH = 0.020, 0.30
"""How deep an odd tooth is hollow in the middle of its face [mm], and over which share of half the face it fades."""

LEAST_PATCH = 0.003
"""A patch smaller than this share of the flank is no patch."""

PLAIN_PATCH = 0.03
"""Both patches of an odd print are at least this share of the flank: it must be seen that there are two."""

MOST_NUMBER = 999_999
"""The last question that is asked for by its number."""

TRIES_A_SET = 12
"""So often a set's gears are put somewhere before another set is drawn."""

Setting = tuple[float, float]
"""How far pinion and ring gear are moved [mm], each positive away from the other gear."""

LEAVE: Setting = (0.0, 0.0)


def length_mm(setting: Setting) -> float:
    """Return how far both gears are moved together [mm]."""
    return abs(setting[0]) + abs(setting[1])


WAYS = sorted({0.0, *STEPS_MM, *(-step for step in STEPS_MM)})
SETTINGS = sorted(product(WAYS, WAYS), key=lambda setting: (length_mm(setting), setting))


class Level(IntEnum):
    """What is asked, from the easiest: centred or not, one gear off, both off, also what no setting helps, how far."""

    CENTRED = 1
    PLAIN = 2
    MIXED = 3
    NONE_HELPS = 4
    HOW_FAR = 5


@dataclass(frozen=True, eq=False)
class Look:
    """What is seen with one setting: the prints, the mean backlash [mm], and how far it is from where it should be.

    `miss` is the largest of five distances from the middle of its band, in half bands: the four centres and the
    backlash. Up to 1 all are where they should be. `prints_miss` leaves the backlash out. `distance` is the root of the
    sum of all five squared: whether a move leaves things better on the whole. `patches` is of how many a print is made.
    """

    prints: Mapping[Flank, Patch]
    backlash_mm: float
    miss: float
    prints_miss: float
    distance: float
    patches: Mapping[Flank, int]


@dataclass(frozen=True, eq=False)
class Question:
    """One question; the same number and level always make the same one.

    Attributes
    ----------
    level : Level
        What is asked.
    number : int
        The seed it was drawn from.
    pair : ContactSet
        The invented set.
    hidden : Misalignment
        Where its gears sit; nobody is told before the answer.
    crowns : mapping
        Relief of the pinion's flanks.
    rates : tuple of float
        What a millimetre of pinion and of ring gear is worth in backlash, square to the tooth at the heel.
    hollow : Flank or None
        The flank of the ring gear that is hollow in its middle, so that its print comes out in two patches.
    """

    level: Level
    number: int
    pair: ContactSet
    hidden: Misalignment
    crowns: Mapping[Flank, Crown]
    rates: tuple[float, float]
    hollow: Flank | None = None

    @cached_property
    def now(self) -> Look:
        """What is seen before anything is moved."""
        return self._look(LEAVE)

    @cached_property
    def looks(self) -> Mapping[Setting, Look]:
        """What would be seen with every setting there is to answer, the shortest move first."""
        return {setting: self.now if setting == LEAVE else self._look(setting) for setting in SETTINGS}

    @cached_property
    def right(self) -> Setting | None:
        """The shortest move that brings all four centres and the backlash well within; None where none does.

        A print in two patches is put right by none, wherever their common centre lies.
        """
        if self.hollow is not None:
            return None
        return next((setting for setting, look in self.looks.items() if look.miss <= WELL), None)

    @cached_property
    def least_miss(self) -> float:
        """How near the best setting comes."""
        return min(look.miss for look in self.looks.values())

    def misalignment(self, setting: Setting) -> Misalignment:
        """Return where the gears sit after a move."""
        return Misalignment(self.hidden.pinion_mm + setting[0], self.hidden.gear_mm + setting[1], self.hidden.offset_mm)

    def edges(self, flank: Flank, setting: Setting) -> list[Floats]:
        """Return the edges of a print after a move, patches too small to be seen left out."""
        found = outline(self._gap_mm(flank, self.misalignment(setting)), FILM_MM)
        return [edge for edge in found if area_ratio(edge) > LEAST_PATCH]

    def _gap_mm(self, flank: Flank, at: Misalignment) -> Floats:
        gap = self.pair.gap_mm(flank, at, self.crowns[flank])
        if flank is not self.hollow:
            return gap
        # Turned on until the rest of the flank touches; how the neighbouring teeth share is left out.
        hollowed: Floats = gap + HOLLOW_MM * np.exp(-((self.pair.flanks[flank].along / HOLLOW_REACH) ** 2))
        return hollowed - float(hollowed.min())

    def _look(self, setting: Setting) -> Look:
        at, size = self.misalignment(setting), (self.pair.gear_set.face_width_mm, self.pair.cones.working_depth_mm)
        prints = {flank: patch(self._gap_mm(flank, at), FILM_MM, *size) for flank in Flank}
        offs = [
            _off(share, band)
            for found in prints.values()
            for share, band in ((found.centre.along_ratio, ALONG_BAND), (found.centre.depth_ratio, DEPTH_BAND))
        ]
        backlash_mm = 0.5 * sum(BACKLASH_MM) + float(np.array(self.rates) @ (at.pinion_mm, at.gear_mm))
        all_offs = [*offs, _off(backlash_mm, BACKLASH_MM)]
        patches = {flank: len(self.edges(flank, setting)) if flank is self.hollow else 1 for flank in Flank}
        return Look(prints, backlash_mm, max(all_offs), max(offs), math.hypot(*all_offs), patches)


def _off(value: float, band: tuple[float, float]) -> float:
    """Return how far a value is from the middle of its band, in half bands."""
    return abs(2.0 * value - band[0] - band[1]) / (band[1] - band[0])


def question(level: Level, number: int) -> Question:
    """Return a question.

    Parameters
    ----------
    level : Level
        What is to be asked.
    number : int
        Seed, 0 or more: it alone decides which set and which setting are drawn.

    Raises
    ------
    RangeError
        For a negative number.

    Notes
    -----
    Sets and settings are drawn until one fits the level and is no close call; every number leads to one.
    """
    rng = np.random.default_rng([int(level), int(at_least("number", number, 0))])
    asked = _aspect(level, rng)
    return next(found for found in _drawn(level, number, asked, rng) if _fits(asked, found))


CENTRED, UNCENTRED, ONE, BOTH, NONE, ODD = "centred", "uncentred", "one", "both", "none", "odd"
ASPECTS: Mapping[Level, tuple[str, ...]] = {
    Level.CENTRED: (CENTRED, UNCENTRED),
    Level.PLAIN: (ONE,),
    Level.MIXED: (BOTH,),
    Level.NONE_HELPS: (NONE, ODD, BOTH, ONE, CENTRED),
    Level.HOW_FAR: (ONE, BOTH, BOTH),
}
"""What the questions of a level are about, each as often as the others."""


def _aspect(level: Level, rng: np.random.Generator) -> str:
    return ASPECTS[level][int(rng.integers(len(ASPECTS[level])))]


def _drawn(level: Level, number: int, asked: str, rng: np.random.Generator) -> Iterator[Question]:
    """Draw sets, and for each some settings, without end."""
    for tries in count():
        if tries % TRIES_A_SET == 0:
            pair = _set(rng)
            rates = _rates(pair)
        crowns = {flank: Crown(*(np.array([0.030, 0.015]) * np.exp(0.15 * rng.normal(size=2)))) for flank in Flank}
        try:
            hollow = list(Flank)[int(rng.integers(2))] if asked == ODD else None
            found = Question(level, number, pair, _hidden(asked, rates, rng), crowns, rates, hollow)
            _ = found.now
        except RangeError:
            # The film is thinner than what such a setting leaves between the places of the grid.
            continue
        if found.now.backlash_mm > 0.01:
            yield found


def _rates(pair: ContactSet) -> tuple[float, float]:
    pinion, gear = (flank_rates(pair.cones, is_pinion=own).normal_heel_ratio for own in (True, False))
    return pinion, gear


def _set(rng: np.random.Generator) -> ContactSet:
    """Return an invented set, with or without offset, generated or formed, of either hand."""
    while True:
        ratio, pinion_teeth = rng.uniform(2.8, 4.8), int(rng.integers(8, 15))
        outer_mm = rng.uniform(160.0, 280.0)
        cone_mm = 0.5 * outer_mm / math.sin(math.atan(ratio))
        face_mm = cone_mm * rng.uniform(0.25, 0.31)
        drawn = GearSet(
            pinion_teeth=pinion_teeth,
            ring_gear_teeth=round(ratio * pinion_teeth),
            outer_diameter_mm=outer_mm,
            face_width_mm=face_mm,
            spiral_angle_deg=rng.uniform(30.0, 38.0),
            pressure_angle_deg=rng.uniform(18.5, 22.5),
            cutter_radius_mm=(cone_mm - 0.5 * face_mm) * rng.uniform(0.8, 1.1),
            offset_mm=outer_mm * rng.uniform(0.08, 0.14) if rng.random() < 0.5 else 0.0,
            hand=Hand.RIGHT if rng.random() < 0.5 else Hand.LEFT,
            cut=Cut.GENERATED if rng.random() < 0.5 else Cut.FORMED,
        )
        try:
            return contact_set(drawn)
        except RangeError:
            # No pinion is conjugate to such a gear.
            continue


def _hidden(asked: str, rates: tuple[float, float], rng: np.random.Generator) -> Misalignment:
    """Put the gears somewhere that is likely to be what is asked for."""
    little = 0.015 * rng.normal(size=3)
    far = rng.choice([-1.0, 1.0], size=3) * rng.uniform([0.08, 0.07, 0.12], [0.28, 0.20, 0.40])
    if asked == ONE:
        far[int(rng.random() < 0.65)] = 0.0
    if asked == UNCENTRED:
        # The backlash is not asked for, so it is kept: the ring gear stands where it makes up for the pinion.
        far[1] = -far[0] * rates[0] / rates[1]
    if asked in (CENTRED, ODD):
        far[:] = 0.0
    if asked == NONE:
        far[:2] *= 0.5
    elif asked != UNCENTRED or rng.random() < 0.5:
        far[2] = 0.0
    return Misalignment(*(far + little).tolist())


def _fits(asked: str, found: Question) -> bool:
    """Tell whether a drawn question is what is asked for, and no close call."""
    if asked == ODD:
        return _is_odd(found)
    try:
        right = None if found.level is Level.CENTRED else found.right
    except RangeError:
        # Somewhere among the settings the film is thinner than what lies between the places of the grid.
        return False
    if asked in (CENTRED, UNCENTRED):
        is_kept = _off(found.now.backlash_mm, BACKLASH_MM) <= WELL
        return is_kept and (found.now.miss <= WELL if asked == CENTRED else found.now.prints_miss >= OFF)
    if asked == NONE:
        return right is None and found.least_miss >= OFF
    return found.now.miss >= OFF and right is not None and (0.0 in right) == (asked == ONE)


def _is_odd(found: Question) -> bool:
    """Tell whether a print is in two patches plain to see, whose common centre says nothing of it."""
    areas = [area_ratio(edge) for edge in found.edges(found.hollow or Flank.DRIVE, LEAVE)]
    return len(areas) == 2 and min(areas) >= PLAIN_PATCH and found.now.miss <= WELL
