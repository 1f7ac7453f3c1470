"""What a setting of the gears would bring, in words."""

from __future__ import annotations

from collections.abc import Mapping

from core.advice.contact_seen import COAST, DRIVE
from core.advice.shim_words import stack_words
from core.advice.what_if import After, Expected, WhatIf
from core.advice.what_if_pieces import LEAST_SAID_MM, Fit, Under
from core.facts import Limit
from core.language import mark, tr
from core.mechanics.contact import Flank
from core.quantities import number, show
from core.verdict import Answer

SIDES: Mapping[str, str] = {
    DRIVE: mark("Drive {along} ± {along_doubt} % along, {depth} ± {depth_doubt} % up{off}."),
    COAST: mark("Coast {along} ± {along_doubt} % along, {depth} ± {depth_doubt} % up{off}."),
}
EDGES: Mapping[str, str] = {
    "toe": mark("toe"),
    "heel": mark("heel"),
    "root": mark("flank"),
    "tip": mark("face"),
}


def setting_words(after: After, unit: str) -> str:
    """Say how far both gears are moved from where they stand."""
    pinion, gear = (show("length", abs(move), unit) for move in (after.pinion_mm, after.gear_mm))
    is_pinion, is_gear = abs(after.pinion_mm) >= LEAST_SAID_MM, abs(after.gear_mm) >= LEAST_SAID_MM
    if not is_pinion and not is_gear:
        return tr("As the gears stand now.")
    said = []
    if is_pinion and after.pinion_mm > 0.0:
        said.append(tr("Pinion {move} away from the ring gear's axis.", move=pinion))
    elif is_pinion:
        said.append(tr("Pinion {move} toward the ring gear's axis.", move=pinion))
    if is_gear and after.gear_mm > 0.0:
        said.append(tr("Ring gear {move} away from the pinion.", move=gear))
    elif is_gear:
        said.append(tr("Ring gear {move} toward the pinion.", move=gear))
    return " ".join(said)


def print_words(expected: Expected) -> str:
    """Say where a print is to be expected, how surely, and which edges it runs off."""
    edges = ", ".join(tr(EDGES[edge]) for edge in expected.runs_off)
    return tr(
        SIDES[expected.side],
        along=_percent(expected.along),
        along_doubt=_percent(expected.along_doubt),
        depth=_percent(expected.depth),
        depth_doubt=_percent(expected.depth_doubt),
        off=tr(", running off at {edges}", edges=edges) if edges else "",
    )


def backlash_words(after: After, limit: Limit | None, unit: str) -> str:
    """Say which backlash is to be expected, and how that lies to the limits."""
    value = show("length", after.backlash_mm, unit)
    if after.backlash is Answer.MISSING and limit is not None:
        return tr("Backlash about {value}: none was read, so it is not judged.", value=value)
    if limit is None:
        return tr("Backlash {value}; the card gives no limits for it.", value=value)
    zone = _zone(limit, unit)
    if after.backlash is Answer.CONFORMS:
        return tr("Backlash {value}, within the limit ({zone}).", value=value, zone=zone)
    if limit.high is not None and after.backlash_mm > limit.high:
        return tr("Backlash {value}, above the limit ({zone}).", value=value, zone=zone)
    return tr("Backlash {value}, below the limit ({zone}).", value=value, zone=zone)


def shim_words(after: After, what_if: WhatIf, unit: str) -> str:
    """Say which shim the pinion needs, and what of the drawer comes nearest to it."""
    if abs(after.pinion_mm) < LEAST_SAID_MM:
        return tr("The pinion's shim stays.")
    change_mm, now_mm = after.shim_change_mm, what_if.shim_now_mm
    if change_mm is None:
        return tr(
            "A pinion shim thicker or thinner by {change}: which of them depends on where it sits.",
            change=show("length", abs(after.pinion_mm), unit),
        )
    if after.shim_mm is None or now_mm is None:
        change = show("length", abs(change_mm), unit)
        if change_mm > 0.0:
            return tr("A pinion shim thicker by {change}.", change=change)
        return tr("A pinion shim thinner by {change}.", change=change)
    now = show("length", now_mm, unit)
    if after.shim_mm <= 0.0:
        return tr("No shim is thin enough: {now} is in.", now=now)
    if after.under is not None and abs(after.under.moves_mm - after.pinion_mm) < LEAST_SAID_MM:
        return tr("Under the pinion {stack}.", stack=_stack(after.under, now, unit))
    new = show("length", after.shim_mm, unit)
    if after.under is None:
        said = tr("Pinion shim {new} instead of {now}.", new=new, now=now)
        return said if what_if.pieces.shims is None else tr("{said} The drawer has none near it.", said=said)
    stack, moved = _stack(after.under, now, unit), show("length", abs(after.under.moves_mm), unit)
    if after.under.moves_mm > 0.0:
        return tr("Pinion shim {new}. Nearest is {stack}: that moves it {move} away.", new=new, stack=stack, move=moved)
    return tr("Pinion shim {new}. Nearest is {stack}: that moves it {move} nearer.", new=new, stack=stack, move=moved)


def _stack(under: Under, now: str, unit: str) -> str:
    return stack_words(under.stack, show("length", under.stack.thickness_mm, unit), now, unit)


def fit_words(after: After, what_if: WhatIf, unit: str) -> str:
    """Say which rings the ring gear's move needs, and where they lie."""
    if abs(after.gear_mm) < LEAST_SAID_MM:
        return tr("The notches stay.") if what_if.pieces.is_set_by_nuts else tr("The rings stay.")
    if what_if.pieces.same_sum is None:
        return tr("Which pair that is can be said once a trial of backlash is accepted.")
    if after.fit is None:
        return tr("The drawer has no pair near it that keeps the ring sum.")
    return _fit(after.fit, after.gear_mm, unit)


def _fit(fit: Fit, gear_mm: float, unit: str) -> str:
    off = ""
    if abs(fit.moves_mm - gear_mm) >= LEAST_SAID_MM:
        moved = show("length", abs(fit.moves_mm), unit)
        off = tr(", which move it {move} away", move=moved)
        if fit.moves_mm < 0.0:
            off = tr(", which move it {move} nearer", move=moved)
    if fit.parts is None:
        notches = fit.notches or (0, 0)
        return tr(
            "Notches {one} on the ring-gear side and {other} opposite{off}.", one=notches[0], other=notches[1], off=off
        )
    one, other = (show("length", size_mm, unit) for size_mm in fit.thickness_mm)
    places = [part.place or part.called for part in fit.parts]
    return tr(
        "Rings {one} on the ring-gear side and {other} opposite, from {place} and {other_place}{off}.",
        one=one,
        other=other,
        place=places[0],
        other_place=places[1],
        off=off,
    )


def source_words(what_if: WhatIf) -> tuple[str, ...]:
    """Say what the prediction rests on."""
    said = []
    flanks_read = len(what_if.centres_read)
    if flanks_read == len(Flank):
        said.append(
            tr("Predicted from every print of this job, for this set; the last is trial {trial}.", trial=what_if.trial)
        )
    elif flanks_read:
        said.append(
            tr(
                "Predicted from the one flank that was read, and from what the card says of the set: read both flanks "
                "of trial {trial} for more.",
                trial=what_if.trial,
            )
        )
    else:
        said.append(
            tr(
                "No print was read yet: this is the set as its card gives it, and how it really stands is not known. "
                "Read both flanks of a trial for more."
            )
        )
    if what_if.own.is_odd:
        said.append(
            tr(
                "The print lies where the card's set would not print: what it is off is taken as this set's own, and "
                "said less surely the farther a gear is moved."
            )
        )
    if not what_if.is_backlash_read:
        said.append(tr("No backlash was read: what it comes to hangs on how the set is usually made."))
    if what_if.seen.usual:
        said.append(tr("Not on the card and taken as usual: {sizes}.", sizes=", ".join(what_if.seen.usual)))
    return tuple(said)


def in_words(after: After, what_if: WhatIf, unit: str) -> tuple[str, ...]:
    """Return all that is to be expected of a setting, sentence by sentence.

    Parameters
    ----------
    after : After
        The answer.
    what_if : WhatIf
        What answered.
    unit : str
        Id of the unit lengths are shown in.
    """
    return (
        setting_words(after, unit),
        *(print_words(expected) for expected in after.prints),
        backlash_words(after, what_if.limit, unit),
        shim_words(after, what_if, unit),
        fit_words(after, what_if, unit),
    )


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f}"


def _zone(limit: Limit, unit: str) -> str:
    if limit.low is None:
        return tr("at most {high}", high=show("length", limit.high or 0.0, unit))
    if limit.high is None:
        return tr("at least {low}", low=show("length", limit.low, unit))
    return tr("{low} to {high}", low=number("length", limit.low, unit), high=show("length", limit.high, unit))
