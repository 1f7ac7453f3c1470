"""What a family has taught, what that is worth on its next axle, and how good the advice has been."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from core.advice.next_pair import Window, ideal_sum
from core.advice.pooling import Pooled
from core.advice.priors import Family, Here, rate_prior, torque_prior
from core.advice.torque_belief import UNIT_MM, TorqueGauge, believe
from core.facts import Advised
from core.stages import backlash, preload
from core.stages.advised import counting, is_followed
from core.stages.state import JobState, TrialState
from core.verdict import Answer

STEP_MM = 0.01
"""What torque and backlash are stated for: a hundredth of ring sum, or of the ring gear's way [mm]."""

EDGES = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
"""Between what chances stated are counted together."""

LEAST_TRIALS = 20
"""With fewer trials than this nothing can be said of how good the chances are (common practice)."""

Z_90 = 1.6448536269514722
"""Standard deviations either side that hold 90 % of a normal distribution."""

# -- what was advised, and what came of it ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Outcome:
    """What was advised for one trial that was judged since: the chance stated, whether followed, whether it conformed.

    `stage` is the key of the stage.
    """

    stage: str
    chance: float
    is_followed: bool
    conformed: bool


def outcomes(state: JobState, advised: Sequence[Advised]) -> tuple[Outcome, ...]:
    """Return what came of the advice in a job; trials that were not read to a verdict are left out.

    Parameters
    ----------
    state : JobState
        The job, judged.
    advised : sequence of Advised
        Everything that was advised in it, oldest first.
    """
    found = []
    for key in (preload.KEY, backlash.KEY):
        said = counting(advised, key)
        for trial in state.stage(key).trials:
            one = said.get(trial.number)
            followed = None if one is None else is_followed(state.context, one)
            conformed = _conformed(trial)
            if one is not None and followed is not None and conformed is not None:
                found.append(Outcome(key, one.chance, followed, conformed))
    return tuple(found)


def _conformed(trial: TrialState) -> bool | None:
    """Tell what a trial came to, None while that is open; one bad reading settles it, though others are missing."""
    if trial.verdict.answer is not Answer.MISSING:
        return trial.verdict.answer is Answer.CONFORMS
    verdicts = [*(field.verdict for field in trial.fields), *(derived.verdict for derived in trial.derived)]
    answers = {verdict.answer for verdict in verdicts if verdict is not None}
    return False if Answer.DOES_NOT_CONFORM in answers else None


@dataclass(frozen=True)
class Bin:
    """The followed trials whose chance was stated between `low` and `high`.

    `stated` is the mean of their chances and `share` the part that conformed, None where there are none; `between` is
    the 90 % interval of the share.
    """

    low: float
    high: float
    trials: int
    conformed: int
    stated: float | None
    share: float | None
    between: tuple[float, float] | None


@dataclass(frozen=True)
class Score:
    """How good the advice of a stage has been.

    Attributes
    ----------
    stage : str
        Key of the stage.
    trials, conformed : int
        Trials that followed the advice and were judged, and those that conformed.
    others : int
        Trials judged in which another pair was fitted.
    expected : float
        How many were to conform by the chances stated.
    doubt : float
        Standard deviation of that number, were the chances right.
    bins : tuple of Bin
        By the chance stated, from the least to the greatest.
    """

    stage: str
    trials: int
    conformed: int
    others: int
    expected: float
    doubt: float
    bins: tuple[Bin, ...]

    @property
    def is_told(self) -> bool:
        """Whether there are trials enough to say anything."""
        return self.trials >= LEAST_TRIALS

    @property
    def off(self) -> float:
        """How many standard deviations more conformed than were to; 0 where nothing was left to chance."""
        return (self.conformed - self.expected) / self.doubt if self.doubt > 0.0 else 0.0


def score(stage: str, told: Iterable[Outcome]) -> Score:
    """Return how good the advice of one stage has been, by the trials that followed it.

    Parameters
    ----------
    stage : str
        Key of the stage.
    told : iterable of Outcome
        What came of the advice; other stages are left out.

    Examples
    --------
    >>> found = score("preload", [Outcome("preload", 0.7, True, True), Outcome("preload", 0.9, True, False)])
    >>> found.trials, found.conformed, round(found.expected, 1), [one.trials for one in found.bins]
    (2, 1, 1.6, [0, 0, 0, 1, 1])
    """
    here = [one for one in told if one.stage == stage]
    followed = [one for one in here if one.is_followed]
    chances = [one.chance for one in followed]
    return Score(
        stage,
        len(followed),
        sum(one.conformed for one in followed),
        len(here) - len(followed),
        math.fsum(chances),
        math.sqrt(math.fsum(chance * (1.0 - chance) for chance in chances)),
        tuple(_bin(low, high, followed) for low, high in pairwise(EDGES)),
    )


def _bin(low: float, high: float, followed: Sequence[Outcome]) -> Bin:
    # The lower edge belongs to a bin, and certainty to the last.
    here = [one for one in followed if low <= one.chance < high or (one.chance == high == EDGES[-1])]
    conformed = sum(one.conformed for one in here)
    if not here:
        return Bin(low, high, 0, 0, None, None, None)
    stated = math.fsum(one.chance for one in here) / len(here)
    return Bin(low, high, len(here), conformed, stated, conformed / len(here), share_between(conformed, len(here)))


def share_between(some: int, of: int) -> tuple[float, float]:
    """Return the 90 % interval of a share, when so many of so many were seen.

    Source
    ------
    E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209, from memory.

    Examples
    --------
    >>> [round(end, 3) for end in share_between(7, 10)]
    [0.442, 0.873]
    """
    share, grown = some / of, 1.0 + Z_90**2 / of
    middle = (share + Z_90**2 / (2.0 * of)) / grown
    reach = Z_90 * math.sqrt(share * (1.0 - share) / of + Z_90**2 / (4.0 * of**2)) / grown
    # The share lies within, whatever the last bit says.
    return max(min(middle - reach, share), 0.0), min(max(middle + reach, share), 1.0)


# -- what was learned -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Usual:
    """A value of the family: what is usual, how far single axles stray from it (one standard deviation), from how many.

    Without a job it is what is assumed (common practice).
    """

    value: float
    scatter: float
    jobs: int


@dataclass(frozen=True)
class Start:
    """What a first trial starts from: how well no clearance is known then [mm], and how surely it can conform at best.

    `what` is ``history``, ``found`` (history and the rings as found) or ``stack`` (history and a measured stack).
    `sd_mm` is one standard deviation; `chance` is None where the card gives no two limits.
    """

    what: str
    sd_mm: float
    chance: float | None


@dataclass(frozen=True)
class FamilyRecord:
    """What a family has taught.

    Attributes
    ----------
    family : str
        Its name.
    jobs : int
        Signed jobs.
    is_set_by_nuts : bool
        Whether thickness is the travel of nuts.
    sum_mm : Usual or None
        Ring sum at no clearance; None before the first job that tells it.
    torque_nm : Usual
        Turning torque for each 0.01 mm of ring sum, beyond the first 0.05 mm [N·m].
    lash_mm : Usual
        Backlash for each 0.01 mm of ring gear [mm].
    even_mm : Usual or None
        Backlash at an even split [mm].
    found_mm, stack_mm : Usual
        Ring sum at no clearance less what the rings as found, and a measured stack, say of it [mm].
    lash_found_mm : Usual
        Backlash at an even split less what was found says of it [mm].
    limits_nm : tuple of float, or None
        Limits of the turning torque on the card of the newest job.
    starts : tuple of Start
        What a first trial can start from.
    scores : tuple of Score
        How good the advice has been, preload and backlash.
    """

    family: str
    jobs: int
    is_set_by_nuts: bool
    sum_mm: Usual | None
    torque_nm: Usual
    lash_mm: Usual
    even_mm: Usual | None
    found_mm: Usual
    stack_mm: Usual
    lash_found_mm: Usual
    limits_nm: tuple[float, float] | None
    starts: tuple[Start, ...]
    scores: tuple[Score, ...]

    @property
    def window_mm(self) -> float | None:
        """How far either side of its best a ring sum may lie for the torque to stay within the limits [mm]."""
        if self.limits_nm is None:
            return None
        return 0.5 * (self.limits_nm[1] - self.limits_nm[0]) / self.torque_nm.value * STEP_MM


def record_of(
    name: str,
    family: Family,
    here: Here,
    limits_nm: tuple[float, float] | None,
    told: Sequence[Outcome],
    *,
    is_set_by_nuts: bool = False,
) -> FamilyRecord:
    """Return what a family has taught, put together.

    Parameters
    ----------
    name : str
        The family's name.
    family : Family
        What its signed jobs teach together.
    here : Here
        What the card and the gears of its newest job say; nothing of it that was measured counts.
    limits_nm : tuple of float, or None
        The card's limits of the turning torque [N·m].
    told : sequence of Outcome
        What came of the advice in its jobs.
    is_set_by_nuts : bool
        Whether its casings are set by nuts.
    """
    card = Here(card_mm=here.card_mm, geometric_rate=here.geometric_rate, is_hypoid=here.is_hypoid)
    rate, _ = rate_prior(family, card)
    steep = math.exp(family.rise.mean) * 1.11 / UNIT_MM * STEP_MM
    return FamilyRecord(
        name,
        family.jobs,
        is_set_by_nuts,
        _usual(family.zero),
        Usual(steep, steep * family.rise.scatter, family.rise.jobs),
        Usual(rate * STEP_MM, rate * STEP_MM * family.rate.scatter / family.rate.mean, family.rate.jobs),
        _usual(family.lash),
        Usual(family.zero_against_found.mean, family.zero_against_found.scatter, family.zero_against_found.jobs),
        Usual(family.zero_against_stack.mean, family.zero_against_stack.scatter, family.zero_against_stack.jobs),
        Usual(family.lash_against_found.mean, family.lash_against_found.scatter, family.lash_against_found.jobs),
        limits_nm,
        _starts(family, card, limits_nm, is_set_by_nuts=is_set_by_nuts),
        tuple(score(stage, told) for stage in (preload.KEY, backlash.KEY)),
    )


def _usual(pooled: Pooled | None) -> Usual | None:
    return None if pooled is None else Usual(pooled.mean, pooled.scatter, pooled.jobs)


def _starts(
    family: Family, card: Here, limits_nm: tuple[float, float] | None, *, is_set_by_nuts: bool
) -> tuple[Start, ...]:
    # Each of them says the same sum, so that only how well it is known differs.
    middle_mm = torque_prior(family, card).zero_mm
    known = {
        "history": card,
        "found": replace(card, found_mm=middle_mm - family.zero_against_found.mean),
        "stack": replace(card, stack_mm=middle_mm - family.zero_against_stack.mean),
    }
    # Nuts are counted from where they just touch: neither rings nor a stack were there to measure.
    wanted = ("history",) if is_set_by_nuts else tuple(known)
    return tuple(_start(what, family, known[what], limits_nm) for what in wanted)


def _start(what: str, family: Family, here: Here, limits_nm: tuple[float, float] | None) -> Start:
    prior = torque_prior(family, here)
    chance = None
    if limits_nm is not None:
        _, chance = ideal_sum(believe(prior, (), TorqueGauge()), Window(*limits_nm))
    return Start(what, prior.zero_sd_mm, chance)
