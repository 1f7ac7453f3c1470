"""What the contact pattern asks for, in the plain directions the public manuals agree on."""

from __future__ import annotations

from core.advice.answer import Advice
from core.advice.seen import Known
from core.language import tr
from core.mechanics.pattern import ALONG_BAND, DEPTH_BAND, MANUALS, Centre, read_pattern
from core.stages.contact_pattern import CENTRES, KEY
from core.stages.context import Context
from core.stages.state import JobState


def advise(state: JobState, known: Known) -> Advice | None:
    """Return the directions for the last pattern read, or None until both sides have a centre."""
    context = state.context
    trial = max(context.trials(KEY), default=1)
    centres = [context.value(KEY, key, trial=trial) for key in CENTRES]
    if None in centres:
        return None
    drive_along, drive_depth, coast_along, coast_depth = (float(c) for c in centres if c is not None)
    asked = read_pattern(
        Centre(drive_along, drive_depth),
        Centre(coast_along, coast_depth),
        along_band=_band(context, "contact_along", ALONG_BAND),
        depth_band=_band(context, "contact_depth", DEPTH_BAND),
        is_used_pair=context.value("teardown", "contact_drive_along") is not None,
    )
    return Advice(
        tr("Trial {trial}: what the pattern asks for", trial=trial),
        " ".join(tr(item.text) for item in asked),
        tr("Directions on which {manuals} agree.", manuals=", ".join(MANUALS)),
    )


def _band(context: Context, key: str, usual: tuple[float, float]) -> tuple[float, float]:
    limit = context.card.limits.get(key)
    if limit is None or limit.low is None or limit.high is None:
        return usual
    return limit.low, limit.high
