"""What a job's readings say, in the terms of the beliefs: trials, gauges, and what was measured before the first."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from core.advice.choice import Piece
from core.advice.contact_scatter import Scatter
from core.advice.lash_belief import LashGauge, LashTrial
from core.advice.priors import RISE, USUAL_INTERFERENCE_MM, Family, Here, family_of
from core.advice.torque_belief import ROLLER_EXPONENT, UNIT_MM, USUAL_DRAG_NM, TorqueGauge, TorqueTrial
from core.errors import RangeError
from core.facts import Gauge, Part
from core.mechanics.bevel import bevel_geometry
from core.mechanics.lash import lash_rates
from core.mechanics.preload import carrier_torque_nm
from core.mechanics.rings import RingPair
from core.stages import backlash, contact_pattern, preload
from core.stages.aids import gauge_factor
from core.stages.card import is_set_by_nuts
from core.stages.contact_pattern import PINION_SHIMS
from core.stages.context import Context
from core.stages.pieces import suits
from core.stages.sides import NUT, RING_GEAR_SIDE, SIDES, notch_mm, pair, ring_sum_mm, side_key

MEASURED_SD_MM = 0.003 / math.sqrt(3.0)
"""Standard uncertainty of a ring measured with a micrometer good to ±0.003 mm [mm] (common practice)."""

NOMINAL_SD_MM = 0.02 / math.sqrt(3.0)
"""The same of a ring of which only the stamped size is known, made to ±0.02 mm [mm] (common practice)."""

NUT_SD_MM = 0.002
"""How well a nut comes to stand where its notch says [mm] (common practice)."""

NUT_TOUCH_MM = 0.1
"""How far from no clearance two nuts may stand that were said to just touch [mm] (common practice)."""

MOST_NUT_MM, MOST_NOTCHES = 3.0, 200
"""So far, and by so many notches, nuts are followed from where they just touch."""


@dataclass(frozen=True)
class Known:
    """What a job's own readings do not say: the drawer, which pieces are in, and what the family taught.

    `parts` are what the sides can have, those in hand among them. `fitted` are the parts that are in, ring-gear side
    first, None where one of them came from elsewhere. `gauges` are the shop's gauges, for a finer one than was used.
    `shims` are what the pinion can have, and `under_pinion` those of them it sits on. `scatter` is how roughly the shop
    reads prints, as far as its jobs told.
    """

    parts: Sequence[Part] = ()
    fitted: tuple[int, int] | None = None
    family: Family = field(default_factory=lambda: family_of(()))
    gauges: Sequence[Gauge] = ()
    shims: Sequence[Part] = ()
    under_pinion: tuple[int, ...] = ()
    scatter: Scatter | None = None


def pieces_of(context: Context, parts: Sequence[Part]) -> list[Piece]:
    """Return what could be fitted: rings and shims with a thickness, or the notches nuts may stand at."""
    if is_set_by_nuts(context.job):
        step_mm = notch_mm(context.job)
        reach = round(MOST_NUT_MM / step_mm) if step_mm else 0
        return [Piece(notches, notches * (step_mm or 0.0), NUT_SD_MM, 2) for notches in range(min(reach, MOST_NOTCHES))]
    found = []
    allowed = preload.ring_range_mm(context)
    for part in parts:
        size_mm = part.thickness_mm
        if not suits(part, RING_GEAR_SIDE) or size_mm is None or part.count < 1:
            continue
        # What the family cannot take would be refused at the bench.
        if allowed is not None and not allowed[0] <= size_mm <= allowed[1]:
            continue
        sd_mm = NOMINAL_SD_MM
        if part.measured_mm:
            sd_mm = math.hypot(MEASURED_SD_MM, (part.spread_mm or 0.0) / math.sqrt(12.0))
        found.append(Piece(part.id, size_mm, sd_mm, part.count))
    return found


def sum_sd_mm(context: Context) -> float:
    """Return the standard uncertainty of a ring sum that was measured, or counted in notches [mm]."""
    return math.sqrt(2.0) * (NUT_SD_MM if is_set_by_nuts(context.job) else MEASURED_SD_MM)


def torques_nm(context: Context) -> dict[int, tuple[float, ...]]:
    """Return what was read of turning torque [N·m], one or both directions, by the number of the preload trial."""
    found = {}
    for number in context.trials(preload.KEY):
        both = [context.value(preload.KEY, key, trial=number) for key in preload.WAYS]
        read = tuple(torque for torque in both if torque is not None)
        if read:
            found[number] = read
    return found


def torque_trials(context: Context) -> dict[int, TorqueTrial]:
    """Return the preload trials that have both sides and at least one torque, by their number."""
    found = {}
    for number, read in torques_nm(context).items():
        sum_mm = ring_sum_mm(context, preload.KEY, number)
        if sum_mm is not None:
            end_play_mm = context.value(preload.KEY, "end_play", trial=number)
            found[number] = TorqueTrial(sum_mm, read, sum_sd_mm(context), end_play_mm)
    return found


def lash_trials(context: Context) -> dict[int, LashTrial]:
    """Return the backlash trials that have both sides and a place read, by their number; places far out left aside."""
    found = {}
    for number in context.trials(backlash.KEY):
        fitted = pair(context, backlash.KEY, number)
        places = places_mm(context, number)
        if fitted is not None and places:
            odd = odd_place(places)
            sound = [value for key, value in places.items() if key != odd]
            found[number] = LashTrial(move_mm(fitted), statistics.fmean(sound), len(sound), 0.5 * sum_sd_mm(context))
    return found


def places_mm(context: Context, trial: int) -> dict[str, float]:
    """Return the backlash of a trial by its place, as it counts where the limit is measured [mm]."""
    factor = gauge_factor(context)
    return {key: value * factor for key, value in context.values(backlash.KEY, "backlash", trial=trial).items()}


ODD_MM = 0.03
"""A place further from the rest than this, and than four times their spread, was read wrongly (common practice)."""


def odd_place(places: Mapping[str, float]) -> str | None:
    """Return the place that does not belong to the others, or None: four or more must be read to tell."""
    if len(places) < 4:
        return None
    middle = statistics.median(places.values())
    away = {key: abs(value - middle) for key, value in places.items()}
    odd = max(away, key=lambda key: away[key])
    usual = statistics.median(value for key, value in away.items() if key != odd)
    return odd if away[odd] > max(ODD_MM, 4.0 * usual) else None


def half_range_mm(context: Context) -> float:
    """Return how far backlash strays from its mean around the gear [mm]: as read, else by the back-face runout.

    Where neither is known, 0.008 mm is assumed (common practice).
    """
    read = []
    for number in lash_trials(context):
        places = places_mm(context, number)
        odd = odd_place(places)
        sound = [value for key, value in places.items() if key != odd]
        if len(sound) >= 4:
            read.append(0.5 * (max(sound) - min(sound)))
    if read:
        return statistics.fmean(read)
    runout_mm = context.value(backlash.KEY, "runout")
    rate = geometric_rate(context) or 0.7
    return 0.008 if runout_mm is None else 0.5 * runout_mm * rate


def torque_gauge(gauge: Gauge | None) -> TorqueGauge:
    """Return what a torque gauge is worth; where none is named, one with steps of 0.05 N·m."""
    return TorqueGauge() if gauge is None else TorqueGauge(gauge.resolution, gauge.stated_error)


def lash_gauge(gauge: Gauge | None) -> LashGauge:
    """Return what a dial gauge is worth; where none is named, one with steps of 0.01 mm."""
    return LashGauge() if gauge is None else LashGauge(gauge.resolution, gauge.stated_error)


def geometric_rate(context: Context) -> float | None:
    """Return backlash square to the tooth at the heel per mm of ring gear withdrawn, from the card's geometry.

    None where the card does not give the sizes, or gives sizes that no pair of gears can have.
    """
    card, job = context.card, context.job
    diameter, face = card.number("gear_outer_diameter"), card.number("face_width")
    spiral, pressure = card.number("spiral_angle"), card.number("pressure_angle")
    if diameter is None or face is None or spiral is None or pressure is None:
        return None
    try:
        geometry = bevel_geometry(job.pinion_teeth, job.ring_gear_teeth, diameter, face, spiral)
        return lash_rates(geometry, pressure).normal_heel_ratio
    except RangeError:
        return None


def here_of(context: Context) -> Here:
    """Return what is known of the casing before its first trial."""
    rate = geometric_rate(context)
    found = _found_pair(context)
    found_lash_mm, has_heights = _found_lash_mm(context, found, rate)
    middle_mm = None
    allowed = preload.ring_range_mm(context)
    if is_set_by_nuts(context.job):
        # Notches are counted from where the nut just touches: without a history, there is no clearance.
        return Here(
            card_mm=(0.0, NUT_TOUCH_MM),
            found_lash_mm=found_lash_mm,
            has_heights=has_heights,
            geometric_rate=rate,
            is_hypoid=bool(context.card.number("pinion_offset")),
        )
    if allowed is not None:
        middle_mm = (allowed[0] + allowed[1], allowed[1] - allowed[0])
    return Here(
        middle_mm,
        None if found is None else found.sum_mm - _found_squeeze_mm(context),
        preload.stack_sum_mm(context),
        found_lash_mm,
        has_heights,
        rate,
        bool(context.card.number("pinion_offset")),
    )


def move_mm(fitted: RingPair) -> float:
    """Return how far the ring gear stands away from the pinion against an even split [mm]."""
    return -0.5 * fitted.split_mm


MOST_FOUND_MM = 0.12
"""No more interference than this is read out of the torque a unit came in with [mm] (common practice)."""


def _found_squeeze_mm(context: Context) -> float:
    """Return how far the rings found were beyond no clearance [mm]: by the torque found, else as is usual.

    The whole unit's torque less the pinion's, times the ratio, is the carrier's; seals and worn bearings are in it, so
    it moves the usual value and no more. The scatter it leaves is learned with the family.
    """
    whole, pinion = (context.value("teardown", key) for key in ("torque_whole", "torque_pinion"))
    if whole is None or pinion is None or whole < pinion:
        return USUAL_INTERFERENCE_MM
    ratio = context.job.ring_gear_teeth / context.job.pinion_teeth
    above_drag = max(carrier_torque_nm(whole, pinion, max(ratio, 1.0)) - USUAL_DRAG_NM, 0.0)
    squeeze_mm = UNIT_MM * math.pow(above_drag / math.exp(RISE.mean), 1.0 / ROLLER_EXPONENT)
    return min(squeeze_mm, MOST_FOUND_MM)


def _found_pair(context: Context) -> RingPair | None:
    sides = [context.value("teardown", f"rings_found_{side}") for side in SIDES]
    return None if sides[0] is None or sides[1] is None else RingPair(sides[0], sides[1])


def _found_lash_mm(context: Context, found: RingPair | None, rate: float | None) -> tuple[float | None, bool]:
    """Return the backlash found, brought to an even split and to the new carrier, and whether that is known."""
    places = context.values("teardown", "backlash_found")
    if found is None or not places:
        return None, False
    rate = rate or 0.7
    at_even_mm = statistics.fmean(places.values()) - rate * move_mm(found)
    if not context.job.is_limited_slip:
        return at_even_mm, True
    old_mm, new_mm = (context.value(backlash.KEY, f"{which}_flange_height") for which in ("old", "new"))
    spacer_mm = context.value(backlash.KEY, "spacer") or 0.0
    if old_mm is None or new_mm is None:
        return at_even_mm, False
    # What stands further in carries the ring gear toward the pinion.
    inward_mm = new_mm + spacer_mm - old_mm - (context.value("teardown", "spacer_found") or 0.0)
    return at_even_mm - rate * inward_mm, True


def units_of(context: Context, stage: str) -> tuple[str, str]:
    """Return the units a stage was last read in: of its quantity, and of the sizes of what is fitted."""
    entries = preload.WAYS if stage == preload.KEY else ("backlash",)
    usual = "n_m" if stage == preload.KEY else "mm"
    side = side_key(context.job, RING_GEAR_SIDE)
    unit, size = usual, "mm"
    for (where, entry, _, _), reading in context.current.items():
        if where == stage and entry in entries and reading.unit:
            unit = reading.unit
        if where in (preload.KEY, backlash.KEY) and entry == side and reading.unit and not entry.startswith(NUT):
            size = reading.unit
    return unit, size


def contact_unit(context: Context) -> str:
    """Return the unit in which backlash or a pinion shim was read last, "" where none was."""
    lengths = ("backlash_now", "backlash", *PINION_SHIMS)
    read = [
        reading
        for (stage, entry, _, _), reading in context.current.items()
        if stage in (contact_pattern.KEY, backlash.KEY) and entry in lengths and reading.unit
    ]
    return max(read, key=lambda reading: reading.id).unit if read else ""
