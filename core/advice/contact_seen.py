"""What a job's readings say of the tooth contact: prints, moves between them, and where they are to lie."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from core.advice.contact_belief import ContactBelief
from core.advice.contact_fit import UNFIT, believe_contact, odd_prior
from core.advice.contact_model import ContactPrior, Looked, Print, Variant
from core.advice.contact_move import Aim
from core.advice.contact_scatter import Floats, Scatter
from core.advice.next_pair import Window
from core.advice.seen import places_mm
from core.errors import RangeError
from core.language import tr
from core.mechanics.contact import ContactSet, Cut, Flank, GearSet, contact_set
from core.mechanics.contact.backlash import flank_rates
from core.mechanics.pattern import ALONG_BAND, DEPTH_BAND
from core.stages import backlash
from core.stages.card import CONCAVE
from core.stages.contact_pattern import KEY, pinion_shim_mm
from core.stages.context import Context
from core.stages.gear_set import DrawnSet, drawn_set, sizes_named
from core.stages.preload import ACCEPT
from core.stages.prints import parted
from core.stages.shared import mean

USUAL_BACKLASH_SD_MM = 0.03
"""How far the backlash a set was made for may lie from the middle of its limits [mm] (common practice)."""

OTHER_CUT = 0.3
"""How many sets are cut the other way than is usual for one with or without offset (common practice)."""

EDGES = ("along", "depth", "length", "height")
DRIVE, COAST = "drive", "coast"


def side_of(context: Context, flank: Flank) -> str:
    """Return which side a flank of the ring gear is in this unit, "drive" or "coast": the convex one usually drives."""
    is_usual = context.card.text("drive_flank") != CONCAVE
    return DRIVE if (flank is Flank.DRIVE) == is_usual else COAST


@lru_cache(maxsize=64)
def made(gear_set: GearSet) -> ContactSet:
    """Return the contact of a set, made once."""
    with sizes_named():
        return contact_set(gear_set)


@dataclass(frozen=True, eq=False)
class ContactSeen:
    """A job's prints read together: belief, the trials they come from, where the gears stand now, what is aimed at.

    `odd` is what the same prints say if the set is no good as it is; `readings` are these prints.

    `pinion_now_mm` and `gear_now_mm` are against the first trial, positive away from the other gear; `shim_sign` is
    what a thicker pinion shim does (+1 out, −1 in), None where neither the card nor a move tells. `usual` are the sizes
    that were taken as usual, each with its band, `banded` those the card gives as a band; in words.
    """

    belief: ContactBelief
    odd: ContactBelief
    trials: tuple[int, ...]
    pinion_now_mm: float
    gear_now_mm: float
    shim_sign: int | None
    aim: Aim
    backlash: Window | None
    usual: tuple[str, ...]
    banded: tuple[str, ...]
    is_as_found: bool
    readings: tuple[Looked, ...]


def prints_of(context: Context, trial: int, prefix: str = "", stage: str = KEY) -> dict[Flank, Print]:
    """Return the prints of a trial: of a flank once its centre is read both ways, unless it lies in patches."""
    found = {}
    patchy = parted(context, stage, trial, prefix)
    for flank in Flank:
        side = side_of(context, flank)
        along, depth, length, height = (context.value(stage, f"{prefix}{side}_{edge}", trial=trial) for edge in EDGES)
        if along is not None and depth is not None and side not in patchy:
            found[flank] = Print(along, depth, length, height)
    return found


def look(context: Context, scatter: Scatter | None = None) -> ContactSeen | None:
    """Return what a job's prints say together, or None until both flanks of a trial have a centre.

    Parameters
    ----------
    context : Context
        The job.
    scatter : Scatter or None
        How roughly prints are read in this shop; None: no job of it is known.

    Raises
    ------
    RangeError
        The card gives sizes that no set can have.
    """
    read = _read(context, scatter)
    if read is None:
        return None
    model, signs, trials = read.belief.model, _signs(context), read.trials
    shims = {pinion_shim_mm(context, trial) for trial in trials} - {None}
    last = read.readings[-1]
    aim, is_as_found = _aim(context)
    return ContactSeen(
        read.belief,
        believe_contact(model.pair, odd_prior(model.prior), read.readings, scatter, model.variants),
        trials,
        last.pinion_mm,
        last.gear_mm,
        read.sign if len(signs) == 1 or len(shims) > 1 else None,
        aim,
        window_of(context),
        *_size_words(drawn_set(context)),
        is_as_found,
        read.readings,
    )


@dataclass(frozen=True, eq=False)
class _Read:
    """The prints of a job as those of a sound set, with the way a thicker pinion shim works that suits them best."""

    belief: ContactBelief
    readings: tuple[Looked, ...]
    trials: tuple[int, ...]
    sign: int


def _read(context: Context, scatter: Scatter | None) -> _Read | None:
    trials = [trial for trial in context.trials(KEY) if len(prints_of(context, trial)) == len(Flank)]
    if not trials:
        return None
    drawn = drawn_set(context)
    pair = made(drawn.gear_set)
    prior, variants = _prior(pair, window_of(context)), variants_of(drawn)
    found = []
    for sign in _signs(context):
        readings = tuple(_readings(context, trials, prior, sign))
        belief = believe_contact(pair, prior, readings, scatter, variants)
        found.append(_Read(belief, readings, tuple(trials), sign))
        if all(reading.pinion_mm == 0.0 for reading in readings):
            # No shim was changed: the other way says the same.
            break
    return max(found, key=lambda read: read.belief.log_evidence)


def unseen(context: Context, scatter: Scatter | None = None) -> ContactSeen:
    """Return what is believed of the contact before both flanks of a trial have a centre: the set as its card gives it.

    What says where the gears stand is the last trial of which one flank was read, and the backlash.

    Raises
    ------
    RangeError
        The card gives sizes that no set can have.
    """
    drawn = drawn_set(context)
    pair = made(drawn.gear_set)
    window = window_of(context)
    prior, variants = _prior(pair, window), variants_of(drawn)
    trial = max((trial for trial in context.trials(KEY) if prints_of(context, trial)), default=None)
    prints = {} if trial is None else prints_of(context, trial)
    lash_mm = None if trial is None else context.value(KEY, "backlash_now", trial=trial)
    read = [Looked(0.0, 0.0, prints, accepted_backlash_mm(context) if lash_mm is None else lash_mm)]
    signs = _signs(context)
    sign = signs[0] if len(signs) == 1 else None
    aim, is_as_found = _aim(context)
    belief, odd = (believe_contact(pair, believed, read, scatter, variants) for believed in (prior, odd_prior(prior)))
    trials = () if trial is None else (trial,)
    return ContactSeen(
        belief,
        odd,
        trials,
        0.0,
        0.0,
        sign,
        aim,
        window,
        *_size_words(drawn),
        is_as_found,
        tuple(read) if prints else (),
    )


def window_of(context: Context) -> Window | None:
    """Return the limits of the backlash [mm], or None where the card does not give both."""
    limit = context.card.limits.get("backlash")
    if limit is None or limit.low is None or limit.high is None:
        return None
    return Window(limit.low, limit.high)


def _prior(pair: ContactSet, window: Window | None) -> ContactPrior:
    """Return what is believed of a set before its first print."""
    return ContactPrior(
        0.08 if window is None else 0.5 * (window.low + window.high),
        USUAL_BACKLASH_SD_MM,
        flank_rates(pair.cones).normal_heel_ratio,
        flank_rates(pair.cones, is_pinion=True).normal_heel_ratio,
    )


def variants_of(drawn: DrawnSet) -> tuple[Variant, ...]:
    """Return the set with each size that is known only as a band off by a standard deviation of it."""
    found = []
    for key, band in drawn.bands.items():
        try:
            found.append(Variant(made(drawn.with_size(key, band.value + band.sd))))
        except RangeError:
            # No set has such a size: to that side it is not off.
            continue
    if drawn.is_cut_usual:
        cut = Cut.GENERATED if drawn.gear_set.cut is Cut.FORMED else Cut.FORMED
        found.append(Variant(made(replace(drawn.gear_set, cut=cut)), math.sqrt(OTHER_CUT)))
    return tuple(found)


def _size_words(drawn: DrawnSet) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the sizes that were taken as usual, and those the card gives as a band, each with its band."""
    usual, banded = (
        [band.in_words for band in drawn.bands.values() if band.is_usual is is_usual] for is_usual in (True, False)
    )
    if drawn.is_cut_usual:
        usual.append(tr("how it was cut"))
    return tuple(usual), tuple(banded)


def scatter_taught(context: Context) -> Floats | None:
    """Return how likely the prints of a job came out under each scale of scatter (logarithm), or None without any.

    A set that is no good as it is says nothing of how it was read.
    """
    try:
        read = _read(context, None)
    except RangeError:
        return None
    return None if read is None or read.belief.misfit > UNFIT else read.belief.log_likelihoods


def _signs(context: Context) -> tuple[int, ...]:
    """Return what a thicker pinion shim may do: +1 moves the pinion out, −1 in."""
    return {"in": (-1,), "out": (1,)}.get(context.card.text("pinion_shim_effect"), (-1, 1))


def _readings(context: Context, trials: list[int], prior: ContactPrior, sign: int) -> list[Looked]:
    """Return the prints of the trials with how far the gears were moved since the first, by shim and by backlash."""
    found: list[Looked] = []
    first_shim_mm: float | None = None
    first_lash_mm: float | None = None
    gear_mm = 0.0
    pinion_mm = 0.0
    for trial in trials:
        shim_mm = pinion_shim_mm(context, trial)
        lash_mm = context.value(KEY, "backlash_now", trial=trial)
        if not found:
            first_shim_mm, first_lash_mm = shim_mm, accepted_backlash_mm(context) if lash_mm is None else lash_mm
        else:
            if shim_mm is not None:
                first_shim_mm = shim_mm if first_shim_mm is None else first_shim_mm
                pinion_mm = sign * (shim_mm - first_shim_mm)
            if lash_mm is not None and first_lash_mm is not None:
                gear_mm = (lash_mm - first_lash_mm - prior.pinion_rate * pinion_mm) / prior.gear_rate
        # Further readings of backlash went into the move; counted again they would be believed twice.
        found.append(Looked(pinion_mm, gear_mm, prints_of(context, trial), None if found else first_lash_mm))
    return found


def accepted_backlash_mm(context: Context) -> float | None:
    """Return the mean backlash of the accepted trial [mm], or None."""
    trial = context.accepted_trial(backlash.KEY, ACCEPT)
    if trial is None:
        return None
    values = list(places_mm(context, trial).values())
    return mean(values) if values else None


def _aim(context: Context) -> tuple[Aim, bool]:
    """Return where the centres are to lie: as found where that was read, else in the middle of the card's bands."""
    along, depth = band(context, "contact_along", ALONG_BAND), band(context, "contact_depth", DEPTH_BAND)
    middles = tuple(0.5 * (low + high) for low, high in (along, depth, along, depth))
    halves = tuple(0.5 * (high - low) for low, high in (along, depth, along, depth))
    found = prints_of(context, 0, "contact_", "teardown")
    if len(found) == len(Flank):
        centres = tuple(share for flank in Flank for share in (found[flank].along, found[flank].depth))
        return Aim(centres, halves), True  # type: ignore[arg-type]
    return Aim(middles, halves), False  # type: ignore[arg-type]


def band(context: Context, key: str, usual: tuple[float, float]) -> tuple[float, float]:
    """Return from where to where a centre counts as central: by the card, else as usual."""
    limit = context.card.limits.get(key)
    if limit is None or limit.low is None or limit.high is None:
        return usual
    return limit.low, limit.high
