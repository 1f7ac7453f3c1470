"""What to try next, from what has been measured: plain directions, and the pair the drawer has for them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from core.advice import backlash, contact, preload
from core.advice.answer import Advice
from core.facts import Ring
from core.stages.state import JobState

_ADVISERS: dict[str, Callable[[JobState, Sequence[Ring]], Advice | None]] = {
    "preload": preload.advise,
    "backlash": backlash.advise,
    "contact_pattern": contact.advise,
}


def advise(stage_key: str, state: JobState, rings: Sequence[Ring]) -> Advice | None:
    """Return what to try next on a stage, or None where there is nothing to say.

    Parameters
    ----------
    stage_key : str
        The stage somebody is working on.
    state : JobState
        The job, judged.
    rings : sequence of Ring
        The drawer.
    """
    adviser = _ADVISERS.get(stage_key)
    return None if adviser is None else adviser(state, rings)


__all__ = ["Advice", "advise"]
