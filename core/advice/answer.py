"""An answer at the bench: what to fit next, what it promises, and why."""

from __future__ import annotations

from dataclasses import dataclass

from core.facts import LEFT, Part, SpecCard
from core.language import tr
from core.mechanics.rings import RingPair
from core.quantities import show
from core.stages.advised import percent as percent


@dataclass(frozen=True)
class Offer:
    """A pair, and what it promises.

    Attributes
    ----------
    pair : RingPair
        Thickness on both sides, or travel of both nuts [mm].
    parts : tuple of Part, or None
        The pieces of the drawer, ring-gear side first; None where nuts are turned.
    notches : tuple of int, or None
        Notches of both nuts from just touching, ring-gear side first; None where rings are fitted.
    chance : float
        How likely the mean of its readings, and every place around the gear, lies within the limits [0 … 1].
    expected, low, high : float
        Median of the mean reading and its 90 % interval [canonical unit of the stage].
    changed : int
        How many of the two sides differ from what is in.
    """

    pair: RingPair
    parts: tuple[Part, Part] | None
    notches: tuple[int, int] | None
    chance: float
    expected: float
    low: float
    high: float
    changed: int


@dataclass(frozen=True)
class ShimOffer:
    """What to lay under the pinion, of what the drawer has and what lies there.

    Attributes
    ----------
    shims_mm : tuple of float
        One thickness, or two that lie on each other, in the order of the entries they are read at [mm].
    parts : tuple of Part or None
        What each is of in the drawer; None for one that lies there and came from elsewhere.
    lies_at : tuple of str
        The entry each was read at, where it lies there now; "" for what is to come from the drawer.
    now_mm : float
        What lies there now [mm].
    chance : float
        How likely the prints then lie where they should [0 … 1].
    """

    shims_mm: tuple[float, ...]
    parts: tuple[Part | None, ...]
    lies_at: tuple[str, ...]
    now_mm: float
    chance: float


@dataclass(frozen=True)
class BandPoint:
    """What is believed at one place of the plot: median and 90 % interval [canonical unit]."""

    x_mm: float
    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Picture:
    """The small plot beside the trials.

    Attributes
    ----------
    stage : str
        Preload: turning torque over the ring sum. Backlash: backlash over how far the ring gear stands away from the
        pinion against an even split.
    kind : str
        Kind of quantity upward; along it is always a length [mm].
    unit, size_unit : str
        Ids of the units the job is read in, upward and along.
    readings : tuple of (int, float, float)
        Trial, place [mm] and mean reading [canonical unit].
    band : tuple of BandPoint
        What is believed, from left to right.
    limit : tuple of float
        Limits of the mean [canonical unit].
    offers : tuple of (float, float)
        Place [mm] and chance of the pair advised and of the runner-up.
    """

    stage: str
    kind: str
    unit: str
    size_unit: str
    readings: tuple[tuple[int, float, float], ...]
    band: tuple[BandPoint, ...]
    limit: tuple[float, float]
    offers: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Again:
    """A reading that should be repeated before anything is taken apart: trial, and entry with position ("" for all)."""

    trial: int
    entry: str = ""
    position: str = ""


@dataclass(frozen=True)
class Advice:
    """What to do, and why: `title` in a few words, `text` the thing to do, `why` the reason in one sentence.

    `wanted` is the pair to try next, where the answer is a pair: the one offered, or the one to be made where the
    drawer has none. `offer` is what the drawer has, `runner_up` the next best. `chance_in_two` is how likely the job is
    done with the next trial or the one after it. `notes` are further sentences: what to order or grind, what to
    check, which gauge would do, what measuring would buy. `again` is a reading to repeat first.

    `shims` is what to lay under the pinion where the drawer has it; `shim_mm` how thick that is to be, wherever it
    comes from, None while the shim that lies there is not known; `also` is what else there is to do for the next trial.
    """

    title: str
    text: str
    why: str = ""
    wanted: RingPair | None = None
    offer: Offer | None = None
    runner_up: Offer | None = None
    chance_in_two: float | None = None
    notes: tuple[str, ...] = ()
    picture: Picture | None = None
    again: Again | None = None
    shims: ShimOffer | None = None
    shim_mm: float | None = None
    also: str = ""

    @property
    def can_be_taken(self) -> bool:
        """Whether there is something to make the next trial of: a pair, or what goes under the pinion."""
        return self.offer is not None or self.shims is not None


def side_words(card: SpecCard, *, is_ring_gear_side: bool) -> str:
    """Return a side in words, with where it lies seen from the pinion."""
    is_left = (card.ring_gear_side == LEFT) == is_ring_gear_side
    where = tr("left") if is_left else tr("right")
    if is_ring_gear_side:
        return tr("the ring-gear side ({where})", where=where)
    return tr("the opposite side ({where})", where=where)


def fit_words(card: SpecCard, offer: Offer, unit: str) -> str:
    """Say which pair to fit, by drawer place and thickness, or how many notches to set."""
    side = side_words(card, is_ring_gear_side=True)
    opposite = side_words(card, is_ring_gear_side=False)
    if offer.notches is not None:
        return tr(
            "Set {one} notches on {side} and {other} on {opposite}.",
            one=offer.notches[0],
            side=side,
            other=offer.notches[1],
            opposite=opposite,
        )
    sizes = (offer.pair.ring_gear_side_mm, offer.pair.opposite_side_mm)
    one, other = (
        tr("{size} from {place}", size=show("length", size, unit), place=part.place)
        if part.place
        else show("length", size, unit)
        for size, part in zip(sizes, offer.parts or (), strict=True)
    )
    return tr("Fit {one} on {side} and {other} on {opposite}.", one=one, side=side, other=other, opposite=opposite)
