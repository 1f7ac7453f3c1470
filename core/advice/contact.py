"""What the contact pattern asks for: the move computed for this set, beside the directions the manuals agree on."""

from __future__ import annotations

import math

import numpy as np

from core.advice.answer import Advice, ShimOffer, percent, side_words
from core.advice.contact_fit import UNFIT
from core.advice.contact_move import Move, Reachable, safest_move
from core.advice.contact_seen import COAST, DRIVE, ContactSeen, band, look, prints_of, side_of
from core.advice.next_pair import Window
from core.advice.pinion_shims import PinionShims, pinion_shims
from core.advice.same_sum import pairs_of_same_sum
from core.advice.seen import Known, contact_unit
from core.advice.shim_words import LEAST_MM, pinion_words
from core.advice.telling import WORTH_ORDERING
from core.errors import RangeError
from core.language import mark, tr
from core.mechanics.contact import Flank
from core.mechanics.pattern import ALONG_BAND, DEPTH_BAND, Centre, Direction, read_pattern, sources_words
from core.quantities import show
from core.stages.card import is_set_by_nuts
from core.stages.contact_pattern import CENTRES, KEY
from core.stages.context import Context
from core.stages.prints import PARTED, parted
from core.stages.state import JobState

DOUBTFUL, HOPELESS = 0.35, 0.5
"""How likely no setting brings both flanks where they should be, for it to be said that perhaps, and that none does: a
strip-down in vain costs more than looking at the numbers etched on the gears."""

ROUGH = 1.6
"""Prints read so many times as roughly as is usual are worth a second look before a strip-down."""

FLANKS = {DRIVE: mark("drive side"), COAST: mark("coast side")}

CHECKS = mark(
    "Check that gear and pinion belong together (numbers etched on both), that the carrier is not bent and that the "
    "casing holds the pinion at the offset the set was made for; take a second print with little compound before "
    "anything is moved."
)


def advise(state: JobState, known: Known) -> Advice | None:
    """Return the move for the last pattern read, or None until both sides have a centre."""
    context = state.context
    trial = _last_printed(context)
    if None in [context.value(KEY, key, trial=trial) for key in CENTRES]:
        return None
    plain, sources, is_centred = _directions(context, trial)
    reason = " ".join(sources)
    if state.stage(KEY).accepted is not None:
        return None
    if sides := parted(context, KEY, trial):
        # Of a print in patches the centre says little: neither a move nor "centred" follows from it.
        names = ", ".join(tr(FLANKS[side]) for side in sides)
        title = tr("Trial {trial}: the print on the {sides} lies in patches", trial=trial, sides=names)
        return Advice(title, tr(PARTED), tr("By the centres alone the manuals would have: {plain}", plain=plain))
    if is_centred:
        return Advice(tr("Trial {trial} is centred", trial=trial), f"{plain} {tr('Accept the trial.')}", reason)
    try:
        seen = look(context, known.scatter)
    except RangeError as error:
        return Advice(_title(trial), plain, reason, notes=(tr("No move was computed: {why}", why=str(error)),))
    if seen is None or seen.trials[-1] != trial:
        return Advice(_title(trial), plain, reason)
    prints = prints_of(context, trial)
    here = np.array([share for flank in Flank for share in (prints[flank].along, prints[flank].depth)])
    if seen.is_as_found and seen.aim.is_met(here):
        said = tr(
            "For used gears that is what the manuals ask: accept the trial if it is to stay. The card's limits are for "
            "new gears; it lies outside them, and the sheet will say so. For new ones: {plain}",
            plain=plain,
        )
        return Advice(tr("Trial {trial} reproduces the pattern found", trial=trial), said, reason)
    return _answer(context, known, seen, plain, sources)


def _last_printed(context: Context) -> int:
    """Return the last trial of which a print was read; one that has got no more than its shim waits for it."""
    printed = [t for t in context.trials(KEY) if any(context.value(KEY, key, trial=t) is not None for key in CENTRES)]
    return max(printed, default=1)


def move_for(context: Context, known: Known, seen: ContactSeen) -> Move:
    """Return the setting that most likely brings both prints to where they should be, backlash within its limits.

    Pinion and ring gear are put where shims and rings of the drawer put them; where none is near, they move by steps.
    """
    shims, rings = pinion_shims(context, known, seen), pairs_of_same_sum(context, known)
    reachable = Reachable(
        () if shims is None else [seen.pinion_now_mm + move_mm for move_mm in shims.moves_mm],
        () if rings is None else (seen.gear_now_mm + rings.moves_mm).tolist(),
    )
    return _move(context, seen, reachable)


def _move(context: Context, seen: ContactSeen, reachable: Reachable | None) -> Move:
    window = seen.backlash or Window(-math.inf, math.inf)
    now = seen.pinion_now_mm, seen.gear_now_mm
    return safest_move(seen.belief, seen.odd, seen.aim, window, now, _steps_mm(context), reachable)


def _title(trial: int) -> str:
    return tr("Trial {trial}: what the pattern asks for", trial=trial)


def _directions(context: Context, trial: int) -> tuple[str, tuple[str, ...], bool]:
    """Return the plain directions for a pattern, who agrees and disagrees on them, and whether it is centred."""
    drive_along, drive_depth, coast_along, coast_depth = (
        context.value(KEY, key, trial=trial) or 0.0 for key in CENTRES
    )
    asked = read_pattern(
        Centre(drive_along, drive_depth),
        Centre(coast_along, coast_depth),
        along_band=band(context, "contact_along", ALONG_BAND),
        depth_band=band(context, "contact_depth", DEPTH_BAND),
        is_used_pair=context.value("teardown", "contact_drive_along") is not None,
    )
    if context.card.text("pinion_shim_effect"):
        asked = tuple(item for item in asked if item.direction is not Direction.ASK_SHIM_PLACE)
    said = " ".join(tr(item.text) for item in asked)
    is_centred = any(item.direction is Direction.CENTRED for item in asked)
    return said, sources_words(asked), is_centred


def _steps_mm(context: Context) -> tuple[float, float]:
    """Return in what steps the pinion's shims and the ring gear can be moved [mm]."""
    rings_mm = context.card.number("ring_step") or 0.02
    return context.card.number("pinion_shim_step") or 0.02, rings_mm


def _answer(context: Context, known: Known, seen: ContactSeen, plain: str, sources: tuple[str, ...]) -> Advice:
    move, shims = move_for(context, known, seen), pinion_shims(context, known, seen)
    unit = contact_unit(context) or "mm"
    pinion_mm, gear_mm = move.pinion_mm - seen.pinion_now_mm, move.gear_mm - seen.gear_now_mm
    of_gear = _gear_words(context, known, gear_mm, unit)
    said = [*pinion_words(pinion_mm, shims, seen.shim_sign, unit), *of_gear]
    if move.hopeless > DOUBTFUL or seen.belief.misfit > UNFIT:
        is_surely = move.hopeless > HOPELESS or seen.belief.misfit > UNFIT
        title = (
            tr("No setting brings both flanks there")
            if is_surely
            else tr("Perhaps no setting brings both flanks there")
        )
        text = " ".join([tr(CHECKS), tr("The best that can be reached:"), *said])
    else:
        title, text = _title(seen.trials[-1]), " ".join(said)
    offer = _shim_offer(shims, pinion_mm, move.chance)
    made_to_measure = _made_to_measure(context, seen, shims, move, unit) if offer is not None else []
    notes = [_expected(context, move, unit), *made_to_measure, *_uncertain(seen, move)]
    if move.hopeless > DOUBTFUL:
        notes.insert(0, tr("By these prints, that no setting does is {chance} likely.", chance=percent(move.hopeless)))
    if seen.is_as_found:
        notes.append(tr("Used gears: the pattern found at teardown is the one to reproduce."))
    notes += [tr("By plain directions: {plain}", plain=plain), *sources]
    why = tr(
        "{count} prints and the geometry of {teeth} say where pinion and ring gear stand; the move is computed for "
        "this set, not taken from a rule.",
        count=2 * len(seen.trials),
        teeth=f"{context.job.ring_gear_teeth} : {context.job.pinion_teeth}",
    )
    chance = tr("Chance {chance}.", chance=percent(move.chance))
    return Advice(
        title,
        f"{text} {chance}",
        why,
        notes=tuple(notes),
        shims=offer,
        shim_mm=None if shims is None else shims.thickness_mm(pinion_mm),
        also=" ".join(of_gear),
    )


def _shim_offer(shims: PinionShims | None, move_mm: float, chance: float) -> ShimOffer | None:
    """Return what to lay under the pinion for a move, where the drawer has it."""
    stack = None if shims is None or abs(move_mm) < LEAST_MM else shims.stack_for(move_mm)
    if shims is None or stack is None:
        return None
    return ShimOffer(
        tuple(shim.thickness_mm for shim in stack.shims),
        tuple(shim.part for shim in stack.shims),
        tuple(shim.entry for shim in stack.shims),
        shims.now_mm,
        chance,
    )


def _made_to_measure(
    context: Context, seen: ContactSeen, shims: PinionShims | None, move: Move, unit: str
) -> list[str]:
    """Say which shim would make the move much surer than those the drawer has, if one would."""
    if move.chance > 1.0 - WORTH_ORDERING:
        return []
    best = _move(context, seen, None)
    size_mm = 0.0 if shims is None else shims.thickness_mm(best.pinion_mm - seen.pinion_now_mm)
    if size_mm <= 0.0 or best.chance - move.chance <= WORTH_ORDERING:
        return []
    size, chance = show("length", size_mm, unit), percent(best.chance)
    return [tr("Order or grind a pinion shim of {size}: chance {chance}.", size=size, chance=chance)]


def _gear_words(context: Context, known: Known, move: float, unit: str) -> list[str]:
    """Say how far the ring gear goes, and with which rings of the drawer."""
    if abs(move) < LEAST_MM:
        return [tr("The ring gear stays.")]
    side, opposite = (side_words(context.card, is_ring_gear_side=here) for here in (True, False))
    if move > 0.0:
        said = tr(
            "Move the ring gear {move} away from the pinion: thinner on {side}, thicker on {opposite}.",
            move=show("length", move, unit),
            side=side,
            opposite=opposite,
        )
    else:
        said = tr(
            "Move the ring gear {move} toward the pinion: thicker on {side}, thinner on {opposite}.",
            move=show("length", -move, unit),
            side=side,
            opposite=opposite,
        )
    same_sum = pairs_of_same_sum(context, known)
    found = None if same_sum is None else same_sum.nearest(move, max(0.5 * abs(move), LEAST_MM))
    if found is None:
        return [said]
    if is_set_by_nuts(context.job):
        one, other = (str(notches) for notches in found.pieces)
        return [said, tr("Set {one} and {other} notches for it, as a further trial of backlash.", one=one, other=other)]
    parts = {part.id: part for part in known.parts}
    sizes_mm = (found.pair.ring_gear_side_mm, found.pair.opposite_side_mm)
    one, other = (
        tr("{size} from {place}", size=show("length", size_mm, unit), place=parts[key].place)
        if parts[key].place
        else show("length", size_mm, unit)
        for size_mm, key in zip(sizes_mm, found.pieces, strict=True)
    )
    made = tr("The drawer has {one} and {other} for it; make them a further trial of backlash.", one=one, other=other)
    return [said, made]


def _expected(context: Context, move: Move, unit: str) -> str:
    shares = [round(100.0 * float(share)) for share in move.centres]
    told = {side_of(context, flank): shares[2 * k : 2 * k + 2] for k, flank in enumerate(Flank)}
    return tr(
        "Expected then: drive {drive_along} % along and {drive_depth} % up, coast {coast_along} % and {coast_depth} "
        "% (each ± {doubt} %), backlash about {backlash}.",
        drive_along=told[DRIVE][0],
        drive_depth=told[DRIVE][1],
        coast_along=told[COAST][0],
        coast_depth=told[COAST][1],
        doubt=round(200.0 * float(move.sds.mean())),
        backlash=show("length", move.backlash_mm, unit),
    )


def _uncertain(seen: ContactSeen, move: Move) -> list[str]:
    said = []
    if seen.usual:
        said.append(
            tr(
                "Not on the card and taken as usual: {sizes}. With them on the card the chance is surer.",
                sizes=", ".join(seen.usual),
            )
        )
    if seen.banded:
        said.append(tr("On the card as a band: {sizes}; both ends were reckoned with.", sizes=", ".join(seen.banded)))
    if seen.belief.scatter.mean > ROUGH:
        said.append(
            tr(
                "By how well they agree, prints are read here about {times} times as roughly as is usual: read this "
                "one again before anything is moved.",
                times=f"{seen.belief.scatter.mean:.1f}",
            )
        )
    if len(seen.trials) == 1:
        said.append(tr("How much a move does is learned from the first real move."))
    if seen.backlash is None:
        said.append(tr("The card gives no limits of backlash, so none were kept."))
    return said
