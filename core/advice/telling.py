"""From what the drawer can do to an answer: the same words and the same small plot for preload and backlash."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from core.advice.answer import Advice, Again, BandPoint, Offer, Picture, fit_words, percent
from core.advice.choice import Choice
from core.advice.next_pair import Found
from core.advice.seen import Known, pieces_of
from core.facts import Part
from core.language import tr
from core.mechanics.rings import RingPair
from core.quantities import number, show
from core.stages.card import is_set_by_nuts
from core.stages.context import Context
from core.stages.preload import ring_range_mm

Interval = tuple[float, float, float]
"""Median, and the ends of the 90 % interval."""

WORTH_ORDERING = 0.15
"""A ring made to measure is named where it would raise the chance by more than this."""

LEAST_RING_MM = 0.1
"""Where the card does not say how thin its rings are: thinner than this is no shim (common practice)."""

POINTS = 25
MARGIN_MM = 0.03
"""So far beyond what was fitted the plot goes on either side."""


@dataclass(frozen=True)
class Told:
    """What a stage has to say of its own; the rest is the same for all.

    Attributes
    ----------
    stage, kind : str
        Key of the stage, kind of its quantity.
    title, lead, why : str
        What stands over the answer, before the pair, and the reason.
    notes : tuple of str
        Further sentences; empty ones are left out.
    wanted : RingPair
        What would be made to measure [mm].
    unit, size_unit : str
        Ids of the units of the quantity, and of thickness.
    band : tuple of BandPoint
        What is believed.
    readings : tuple
        Trial, place [mm] and mean.
    limit : tuple of float
        Limits of the mean.
    place : callable
        Where a pair lies along the plot [mm].
    partner_within_mm : float
        A ring of the drawer may miss the wanted one by so much on the opposite side, and be made up for on the other.
    out_of_reach : str
        What to do where the family has no rings for what is wanted.
    again : Again or None
        What to read again first.
    """

    stage: str
    kind: str
    title: str
    lead: str
    why: str
    notes: tuple[str, ...]
    wanted: RingPair
    unit: str
    size_unit: str
    band: tuple[BandPoint, ...]
    readings: tuple[tuple[int, float, float], ...]
    limit: tuple[float, float]
    place: Callable[[RingPair], float]
    partner_within_mm: float
    out_of_reach: str
    again: Again | None = None


def tell(context: Context, known: Known, found: Found, expect: Callable[[Choice], Interval], told: Told) -> Advice:
    """Return the answer of a stage.

    Parameters
    ----------
    context : Context
        The job.
    known : Known
        Drawer, family and gauges.
    found : Found
        What the drawer can do.
    expect : callable
        What a choice is expected to read.
    told : Told
        What the stage says of its own.
    """
    best = _offer(found.best, context, known, expect)
    second = _offer(found.runner_up, context, known, expect)
    notes = list(told.notes)
    if not is_set_by_nuts(context.job) and _is_worth_ordering(found):
        notes.insert(0, _order(context, known, found, told))
    if best is None:
        text = " ".join(part for part in (told.lead, tr("The drawer has no pair for this.")) if part)
        wanted = told.wanted
    else:
        parts = (told.lead, fit_words(context.card, best, told.size_unit), _promise(best, told.kind, told.unit))
        text = " ".join(part for part in parts if part)
        wanted = best.pair
        notes = [*_in_two(found), *_next_best(second, told.size_unit), *notes]
    offers = tuple((told.place(offer.pair), offer.chance) for offer in (best, second) if offer is not None)
    return Advice(
        told.title,
        text,
        told.why,
        wanted,
        best,
        second,
        None if found.best is None else found.best.chance_in_two,
        tuple(note for note in notes if note),
        Picture(told.stage, told.kind, told.unit, told.size_unit, told.readings, told.band, told.limit, offers),
        told.again,
    )


def band_around(places_mm: Sequence[float], at: Callable[[float], Interval]) -> tuple[BandPoint, ...]:
    """Return the belief from left of all places to right of them; `at` tells it at a place [mm]."""
    if not places_mm:
        return ()
    first_mm, last_mm = min(places_mm) - MARGIN_MM, max(places_mm) + MARGIN_MM
    found = []
    for point in range(POINTS):
        place_mm = first_mm + (last_mm - first_mm) * point / (POINTS - 1)
        middle, low, high = at(place_mm)
        found.append(BandPoint(place_mm, low, middle, high))
    return tuple(found)


def _offer(choice: Choice | None, context: Context, known: Known, expect: Callable[[Choice], Interval]) -> Offer | None:
    if choice is None:
        return None
    middle, low, high = expect(choice)
    if is_set_by_nuts(context.job):
        return Offer(choice.pair, None, choice.pieces, choice.chance, middle, low, high, choice.changed)
    parts: Mapping[int, Part] = {part.id: part for part in known.parts}
    pieces = (parts[choice.pieces[0]], parts[choice.pieces[1]])
    return Offer(choice.pair, pieces, None, choice.chance, middle, low, high, choice.changed)


def _promise(offer: Offer, kind: str, unit: str) -> str:
    return tr(
        "Chance {chance}. Expected {middle} ({low} – {high}).",
        chance=percent(offer.chance),
        middle=show(kind, offer.expected, unit),
        low=number(kind, offer.low, unit),
        high=number(kind, offer.high, unit),
    )


def _next_best(offer: Offer | None, size_unit: str) -> tuple[str, ...]:
    if offer is None or offer.chance < 0.01:
        return ()
    if offer.notches is not None:
        pair = tr("{one} and {other} notches", one=offer.notches[0], other=offer.notches[1])
    else:
        pair = tr(
            "{one} and {other}",
            one=show("length", offer.pair.ring_gear_side_mm, size_unit),
            other=show("length", offer.pair.opposite_side_mm, size_unit),
        )
    return (tr("Next best: {pair}, chance {chance}.", pair=pair, chance=percent(offer.chance)),)


def _in_two(found: Found) -> tuple[str, ...]:
    """Say what is reached with the trial after, where this one is far from sure."""
    best = found.best
    if best is None or best.chance > 0.7 or best.chance_in_two <= best.chance + 0.05:
        return ()
    return (tr("With this trial and the one after it: {chance}.", chance=percent(best.chance_in_two)),)


def _is_worth_ordering(found: Found) -> bool:
    return found.best is None or found.ideal_chance - found.best.chance > WORTH_ORDERING


def _order(context: Context, known: Known, found: Found, told: Told) -> str:
    """Say which thickness to order or grind, and what to pair it with."""

    def size(thickness_mm: float) -> str:
        return show("length", thickness_mm, told.size_unit)

    wanted, chance = told.wanted, percent(found.ideal_chance)
    thinnest_mm, thickest_mm = ring_range_mm(context) or (LEAST_RING_MM, math.inf)

    def is_to_be_had(thickness_mm: float) -> bool:
        return thinnest_mm <= thickness_mm <= thickest_mm

    if not (is_to_be_had(wanted.ring_gear_side_mm) and is_to_be_had(wanted.opposite_side_mm)):
        return told.out_of_reach
    parts = {part.id: part for part in known.parts}
    near = [
        piece
        for piece in pieces_of(context, known.parts)
        if abs(piece.thickness_mm - wanted.opposite_side_mm) <= told.partner_within_mm
        and is_to_be_had(wanted.sum_mm - piece.thickness_mm)
    ]
    if not near:
        return tr(
            "Order or grind {one} for the ring-gear side and {other} for the opposite side: chance {chance}.",
            one=size(wanted.ring_gear_side_mm),
            other=size(wanted.opposite_side_mm),
            chance=chance,
        )
    partner = min(near, key=lambda piece: abs(piece.thickness_mm - wanted.opposite_side_mm))
    return tr(
        "Order or grind {one} for the ring-gear side, to go with {other} from {place}: chance {chance}.",
        one=size(wanted.sum_mm - partner.thickness_mm),
        other=size(partner.thickness_mm),
        place=parts[partner.key].place or parts[partner.key].called,
        chance=chance,
    )
