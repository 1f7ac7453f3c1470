"""What to try next, from what has been measured: plain directions, and the pair the drawer has for them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from core.advice import backlash, contact, preload
from core.advice.answer import Advice
from core.facts import Part
from core.stages.state import JobState

_ADVISERS: dict[str, Callable[[JobState, Sequence[Part]], Advice | None]] = {
    "preload": preload.advise,
    "backlash": backlash.advise,
    "contact_pattern": contact.advise,
}


def advise(stage_key: str, state: JobState, parts: Sequence[Part]) -> Advice | None:
    """Return what to try next on a stage, or None where there is nothing to say.

    Parameters
    ----------
    stage_key : str
        The stage somebody is working on.
    state : JobState
        The job, judged.
    parts : sequence of Part
        The rings and shims there are.
    """
    adviser = _ADVISERS.get(stage_key)
    return None if adviser is None else adviser(state, parts)


__all__ = ["Advice", "advise"]
