"""What to try next: from all earlier trials, the drawer, the gauges and the family's history, with the chance stated.

`torque_belief`, `lash_belief`  what is believed after the trials (Bayes on a grid) · `readings` when some are wrong
`pooling`, `priors`             what is believed before the first · `lessons` what a signed job taught
`choice`, `look_ahead`, `next_pair`  from a belief and a drawer to a pair
`contact_seen`, `contact_belief`, `contact_move`, `contact`  the same for the tooth contact
`what_if`, `what_if_own`, `what_if_pieces`, `what_if_words`  any setting asked of it: the prints, and what it needs
`pinion_shims`, `same_sum`      which moves of pinion and ring gear the drawer can make · `shim_words` said
`seen`, `limits`                what a job's readings say · `preload`, `backlash`, `contradiction`, `telling` the answer
"""

from __future__ import annotations

from collections.abc import Callable

from core.advice import backlash, contact, preload
from core.advice.answer import Advice
from core.advice.seen import Known
from core.stages.state import JobState

_ADVISERS: dict[str, Callable[[JobState, Known], Advice | None]] = {
    "preload": preload.advise,
    "backlash": backlash.advise,
    "contact_pattern": contact.advise,
}


def advise(stage_key: str, state: JobState, known: Known) -> Advice | None:
    """Return what to try next on a stage, or None where there is nothing to say.

    Parameters
    ----------
    stage_key : str
        The stage somebody is working on.
    state : JobState
        The job, judged.
    known : Known
        The drawer, which pieces are in, and what the family taught.
    """
    adviser = _ADVISERS.get(stage_key)
    return None if adviser is None else adviser(state, known)


__all__ = ["Advice", "Known", "advise"]
