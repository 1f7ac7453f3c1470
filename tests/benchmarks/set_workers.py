"""Who works on the virtual sets: common practice, the closed forms, and the advice.

Each says where pinion and ring gear are to go, given what the card says of the set and the prints read so far.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from core.advice.contact_fit import MODEL_SD, READING_SDS, UNFIT, believe_contact, odd_prior
from core.advice.contact_model import ContactPrior, Looked, Variant
from core.advice.contact_move import Aim, safest_move
from core.advice.contact_scatter import Floats, Scatter
from core.advice.contact_seen import made, variants_of
from core.advice.next_pair import Window
from core.facts import CardFact
from core.mechanics.contact import ContactSet, Cut, Flank, Misalignment, contact_set
from core.mechanics.contact.backlash import flank_rates
from core.mechanics.contact.closed_forms import print_motion
from core.stages.gear_set import DrawnSet
from core.stages.size_bands import bands

AIM = Aim((0.5, 0.5, 0.5, 0.5), (0.1, 0.1, 0.1, 0.1))
LASH = Window(0.06, 0.10)
STEP_MM = 0.02


@dataclass(frozen=True)
class Said:
    """A setting, how likely it is to bring both prints there, and how likely none does; what the prints taught."""

    pinion_mm: float
    gear_mm: float
    chance: float = float("nan")
    hopeless: float = 0.0
    taught: Floats | None = None


Next = Callable[[ContactSet, list[Looked]], Said]


def by_advice(pair: ContactSet, readings: list[Looked], scatter: Scatter | None = None) -> Said:
    """Return the setting advised, in a shop that is believed to read prints so roughly."""
    return _advised(pair, readings, scatter)


def _advised(
    pair: ContactSet, readings: list[Looked], scatter: Scatter | None, variants: tuple[Variant, ...] = ()
) -> Said:
    # Of the later readings only the prints count: how far the gears were moved is known from the shims.
    told = [readings[0], *(replace(reading, backlash_mm=None) for reading in readings[1:])]
    prior = _prior(pair)
    belief, odd = (believe_contact(pair, believed, told, scatter, variants) for believed in (prior, odd_prior(prior)))
    now = (readings[-1].pinion_mm, readings[-1].gear_mm)
    move = safest_move(belief, odd, AIM, LASH, now, (STEP_MM, STEP_MM))
    hopeless = max(move.hopeless, 1.0 if belief.misfit > UNFIT else 0.0)
    return Said(move.pinion_mm, move.gear_mm, move.chance, hopeless, belief.log_likelihoods)


def by_few_sizes(pair: ContactSet, readings: list[Looked], scatter: Scatter | None = None) -> Said:
    """Return the setting advised where the card gives tooth counts, outer diameter and offset only."""
    card = pair.cones.gear_set
    given = {"gear_outer_diameter": card.outer_diameter_mm, "pinion_offset": card.offset_mm}
    facts = {key: CardFact(key, value, "", "mm") for key, value in given.items()}
    found = bands(facts, card.ring_gear_teeth / card.pinion_teeth)
    taken = {band.size.argument: band.value for band in found.values()}
    gear_set = replace(card, **taken, cut=Cut.FORMED if card.offset_mm else Cut.GENERATED)
    return _advised(made(gear_set), readings, scatter, variants_of(DrawnSet(gear_set, (), found, is_cut_usual=True)))


def by_closed_forms(pair: ContactSet, readings: list[Looked]) -> Said:
    """Return the setting by the closed forms: every set taken as generated and without offset, all prints remembered.

    Where the gears sit follows by least squares over all readings; the move is the one after which the worst of the
    four centres is nearest to the middle, backlash within its limits.
    """
    plain = contact_set(replace(pair.cones.gear_set, cut=Cut.GENERATED, offset_mm=0.0)).cones
    unit = 0.1
    shifts = (Misalignment(unit), Misalignment(0.0, unit), Misalignment(0.0, 0.0, unit))
    moves = np.array([[print_motion(plain, flank, shift) for shift in shifts] for flank in Flank])
    # (4, 3): how the centres, drive along and in depth, then coast, go with pinion, ring gear and offset.
    slopes = moves.transpose(0, 2, 1).reshape(4, 3) / unit
    prior = _prior(pair)
    rows, rest = [np.diag(1.0 / np.array([prior.pinion_sd_mm, prior.gear_sd_mm, prior.offset_sd_mm]))], [np.zeros(3)]
    sds = np.hypot(np.tile(READING_SDS[:2], 2), MODEL_SD)
    for reading in readings:
        read = np.array(
            [share for flank in Flank for share in (reading.prints[flank].along, reading.prints[flank].depth)]
        )
        moved = slopes[:, :2] @ (reading.pinion_mm, reading.gear_mm)
        rows.append(slopes / sds[:, None])
        rest.append((read - 0.5 - moved) / sds)
    if readings[0].backlash_mm is not None:
        rows.append(np.array([[prior.pinion_rate, prior.gear_rate, 0.0]]) / prior.backlash_sd_mm)
        rest.append(np.array([readings[0].backlash_mm - prior.backlash_mm]) / prior.backlash_sd_mm)
    off = slopes @ np.linalg.lstsq(np.concatenate(rows), np.concatenate(rest), rcond=None)[0]
    last = readings[-1]
    steps = STEP_MM * np.arange(-25, 26)
    pinion, gear = (grid.ravel() for grid in np.meshgrid(last.pinion_mm + steps, last.gear_mm + steps))
    lash_mm = (
        (last.backlash_mm or prior.backlash_mm)
        + prior.pinion_rate * (pinion - last.pinion_mm)
        + prior.gear_rate * (gear - last.gear_mm)
    )
    worst = np.abs(off[:, None] + slopes[:, :2] @ np.stack([pinion, gear])).max(axis=0)
    outside = np.maximum(np.maximum(LASH.low - lash_mm, lash_mm - LASH.high), 0.0)
    best = int(np.argmin(worst + 10.0 * outside))
    return Said(float(pinion[best]), float(gear[best]))


def by_rule(pair: ContactSet, readings: list[Looked]) -> Said:
    """Return the setting common practice goes to: 0.05 mm of pinion shim for depth, 0.03 mm of backlash along."""
    last = readings[-1]
    along = statistics.fmean(seen.along for seen in last.prints.values())
    depth = statistics.fmean(seen.depth for seen in last.prints.values())
    pinion_mm, gear_mm = last.pinion_mm, last.gear_mm
    if abs(depth - 0.5) > 0.05:
        pinion_mm += -0.05 if depth > 0.5 else 0.05
    elif abs(along - 0.5) > 0.05:
        gear_mm += 0.04 if along < 0.5 else -0.04
    return Said(pinion_mm, gear_mm)


def _prior(pair: ContactSet) -> ContactPrior:
    rates = (flank_rates(pair.cones, is_pinion=is_pinion).normal_heel_ratio for is_pinion in (False, True))
    return ContactPrior(0.08, 0.03, *rates)
