"""The next split: the pair of the drawer that keeps the ring sum and most likely brings backlash within its limits."""

from __future__ import annotations

from collections.abc import Mapping

from core.advice.answer import Advice, Again, side_words
from core.advice.choice import Choice
from core.advice.contradiction import DOUBTFUL
from core.advice.lash_belief import LashBelief, LashTrial, believe
from core.advice.limits import Aim, aim_at
from core.advice.next_pair import Found, for_backlash
from core.advice.priors import lash_prior
from core.advice.seen import (
    Known,
    geometric_rate,
    half_range_mm,
    here_of,
    lash_gauge,
    lash_trials,
    move_mm,
    odd_place,
    pieces_of,
    places_mm,
    sum_sd_mm,
    units_of,
)
from core.advice.telling import Told, band_around, tell
from core.language import mark, tr
from core.mechanics.rings import RingPair
from core.quantities import show
from core.stages import stage as stage_of
from core.stages.backlash import KEY, sum_tolerance_mm
from core.stages.card import is_set_by_nuts
from core.stages.context import Context
from core.stages.preload import accepted_sum_mm
from core.stages.sides import notch_mm
from core.stages.state import JobState
from core.verdict import Answer

LEAST_MOVE_MM = 0.02
"""Trials closer together than this teach nothing about the rate: the gauge's own steps drown it."""

FALLS_MM = 0.02
"""Backlash that falls by more than this on a ring gear further away contradicts itself."""

LEARNED = mark("The moves so far showed {worth} of backlash for each {step} of ring gear (±{doubt}).")
BY_FAMILY = mark(
    "In this family each {step} of ring gear is worth {worth} of backlash (±{doubt}; seen on {jobs} of its jobs)."
)
BY_GEOMETRY = mark("By the gears' geometry each {step} of ring gear is worth {worth} of backlash (±{doubt}).")
WITH_OFFSET = mark(
    "By geometry without the pinion's offset each {step} of ring gear is worth about {worth} of backlash (±{doubt}); "
    "the move itself will show the true rate."
)
ASSUMED = mark(
    "The card does not give the gears' sizes, so {worth} of backlash for each {step} of ring gear (±{doubt}) is "
    "assumed (common practice)."
)
WANTED = mark("The ring gear has to move {move}.")
OUT_OF_REACH = mark("No rings of this family reach that far: read the backlash again, then look at the spacer.")


def advise(state: JobState, known: Known) -> Advice | None:
    """Return the next pair to try, or None where the card gives no limits, and before and after its turn."""
    context, stage = state.context, state.stage(KEY)
    fixed_mm = accepted_sum_mm(context)
    trials = lash_trials(context)
    last = max(trials, default=0)
    aim = aim_of(context, known, last)
    if stage.accepted is not None or aim is None or fixed_mm is None:
        return None
    if any(t.number == last and t.verdict.answer is Answer.CONFORMS for t in stage.trials):
        return Advice(tr("Trial {trial} conforms", trial=last), tr("Accept it; the rings stay as they are."))
    if is_set_by_nuts(context.job) and not notch_mm(context.job):
        return None
    middle_mm = 0.5 * (aim.limit.low + aim.limit.high)
    prior = lash_prior(known.family, here_of(context), middle_mm)
    belief = believe(prior, list(trials.values()), lash_gauge(context.gauge_of(KEY, "backlash", last)))
    found = for_backlash(
        belief,
        pieces_of(context, known.parts),
        aim.window,
        sum_mm=fixed_mm,
        tolerance_mm=sum_tolerance_mm(context),
        fitted=known.fitted,
    )
    unit, size_unit = units_of(context, KEY)
    title, lead, again = _lead(context, trials, aim, unit, belief.doubts[-1] if trials else 0.0)
    sd_mm = 0.5 * sum_sd_mm(context)

    def expect(choice: Choice) -> tuple[float, float, float]:
        return belief.expected(move_mm(choice.pair), 0.5 * choice.sum_sd_mm)

    return tell(
        context,
        known,
        found,
        expect,
        Told(
            KEY,
            "length",
            title,
            lead,
            _why(context, trials, belief, known, found, unit, size_unit),
            (aim.note,),
            _made_to_measure(fixed_mm, found),
            unit,
            size_unit,
            band_around(
                [trial.move_mm for trial in trials.values()] + ([move_mm(found.best.pair)] if found.best else []),
                lambda place_mm: belief.expected(place_mm, sd_mm),
            ),
            tuple((number, trial.move_mm, trial.mean_mm) for number, trial in trials.items()),
            (aim.limit.low, aim.limit.high),
            move_mm,
            sum_tolerance_mm(context),
            tr(OUT_OF_REACH),
            again,
        ),
    )


def aim_of(context: Context, known: Known, trial: int) -> Aim | None:
    """Return what the mean backlash of the next trial has to hit [mm]; None without two limits."""
    limit = context.card.limits.get("backlash")
    gauge = context.gauge_of(KEY, "backlash", trial)
    return aim_at(limit, gauge, half_range_mm(context), "length", units_of(context, KEY)[0], known.gauges)


def _made_to_measure(fixed_mm: float, found: Found) -> RingPair:
    # Beyond the whole sum there is nothing to fit: then the spacer is wrong, and `OUT_OF_REACH` says so.
    split_mm = min(max(-2.0 * found.ideal_mm, -fixed_mm), fixed_mm)
    return RingPair(0.5 * (fixed_mm + split_mm), 0.5 * (fixed_mm - split_mm))


def _lead(
    context: Context, trials: Mapping[int, LashTrial], aim: Aim, unit: str, doubt: float
) -> tuple[str, str, Again | None]:
    """Return the title, which way the ring gear goes, and the place to read again first."""
    if not trials:
        return tr("First pair"), "", None
    last = max(trials)
    places = places_mm(context, last)
    odd = odd_place(places)
    if odd is not None:
        said = tr(
            "{value} at {place} does not go with the other places: read it again before you take anything apart.",
            value=show("length", places[odd], unit),
            place=_place_words(odd),
        )
        return tr("Read trial {trial} again", trial=last), said, Again(last, "backlash", odd)
    falls = _falling(trials)
    if falls is not None:
        near, far = falls
        said = tr(
            "In trial {far} the ring gear stands further from the pinion than in trial {near} and yet shows less "
            "backlash. Read trial {last} again; check that the cups are seated, the ring-gear bolts tight and the "
            "pinion held still.",
            far=far,
            near=near,
            last=last,
        )
        return tr("Read trial {trial} again", trial=last), said, Again(last)
    if doubt > DOUBTFUL:
        said = tr(
            "Trial {trial} reads {value}, far from what was to be expected: read it again before you take anything "
            "apart.",
            trial=last,
            value=show("length", trials[last].mean_mm, unit),
        )
        return tr("Read trial {trial} again", trial=last), said, Again(last)
    mean_mm = trials[last].mean_mm
    if aim.limit.low <= mean_mm <= aim.limit.high:
        return tr("Trial {trial} is not within the limits all around", trial=last), "", None
    is_little = mean_mm < aim.limit.low
    return (tr("Too little backlash") if is_little else tr("Too much backlash")), _direction(context, is_little), None


def _place_words(key: str) -> str:
    positions = stage_of(KEY).entry("backlash").positions
    return next((tr(place.label) for place in positions if place.key == key), key)


def _falling(trials: Mapping[int, LashTrial]) -> tuple[int, int] | None:
    """Return two trials, the last among them, whose backlash falls though the ring gear went away, near one first."""
    last = max(trials)
    for number in trials:
        near, far = sorted((number, last), key=lambda n: trials[n].move_mm)
        is_moved = trials[far].move_mm - trials[near].move_mm >= LEAST_MOVE_MM
        if number != last and is_moved and trials[far].mean_mm < trials[near].mean_mm - FALLS_MM:
            return near, far
    return None


def _direction(context: Context, is_little: bool) -> str:
    side = side_words(context.card, is_ring_gear_side=True)
    opposite = side_words(context.card, is_ring_gear_side=False)
    if is_little:
        return tr(
            "The ring gear goes away from the pinion: thinner on {side}, thicker on {opposite}.",
            side=side,
            opposite=opposite,
        )
    return tr(
        "The ring gear goes toward the pinion: thicker on {side}, thinner on {opposite}.", side=side, opposite=opposite
    )


def _why(
    context: Context,
    trials: Mapping[int, LashTrial],
    belief: LashBelief,
    known: Known,
    found: Found,
    unit: str,
    size_unit: str,
) -> str:
    """Say what a move is worth and where that comes from, and how far the ring gear has to go."""
    rate, doubt = belief.rate
    moves = [trial.move_mm for trial in trials.values()]
    if moves and max(moves) - min(moves) >= LEAST_MOVE_MM:
        reason = LEARNED
    elif known.family.rate.jobs:
        reason = BY_FAMILY
    elif geometric_rate(context) is None:
        reason = ASSUMED
    else:
        reason = WITH_OFFSET if context.card.number("pinion_offset") else BY_GEOMETRY
    said = tr(
        reason,
        worth=show("length", 0.01 * rate, unit, 4),
        doubt=show("length", 0.02 * doubt, unit, 4),
        step=show("length", 0.01, size_unit),
        jobs=known.family.rate.jobs,
    )
    if not trials:
        return said
    move = abs(found.ideal_mm - trials[max(trials)].move_mm)
    return f"{said} {tr(WANTED, move=show('length', move, size_unit))}"
