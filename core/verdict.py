"""Reading + gauge + limit → verdict, by the decision rule of ISO 14253-1:2017.

A reading conforms inside the limits pulled in by the guard g = 1.65 u, does not conform outside the limits pushed
out by it, and is uncertain between. Without a gauge nothing is known about u, and g is nought.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from typing import Protocol

from core import quantities
from core.facts import Gauge, Limit
from core.gauges import Trust, trust_words
from core.language import mark, tr, translation
from core.mechanics import uncertainty


class Answer(StrEnum):
    """The four answers, the worst first."""

    DOES_NOT_CONFORM = "does_not_conform"
    MISSING = "missing"
    UNCERTAIN = "uncertain"
    CONFORMS = "conforms"


ANSWER_WORDS: dict[Answer, str] = {
    Answer.CONFORMS: mark("conforms"),
    Answer.DOES_NOT_CONFORM: mark("does not conform"),
    Answer.UNCERTAIN: mark("uncertain"),
    Answer.MISSING: mark("missing"),
}


@dataclass(frozen=True)
class Verdict:
    """An answer with its reason; expanded uncertainty (k = 2) and guard in the canonical unit, None without a gauge."""

    answer: Answer
    reason: str
    expanded: float | None = None
    guard: float | None = None


class Answerable(Protocol):
    """A choice as it is judged: `is_good` None means that it is only noted."""

    @property
    def key(self) -> str:
        """The key it is stored under."""

    @property
    def label(self) -> str:
        """What it is called."""

    @property
    def is_good(self) -> bool | None:
        """Whether it conforms."""


def judge(value: float | None, limit: Limit, gauge: Gauge | None, kind: str, unit: str) -> Verdict:
    """Judge a value against a limit.

    Parameters
    ----------
    value : float or None
        The reading [canonical unit of `kind`]; None where there is none yet.
    limit : Limit
        What it answers to; one side may be open.
    gauge : Gauge or None
        What it was read with; a gauge of another kind of quantity counts as none.
    kind : str
        Kind of quantity.
    unit : str
        Id of the unit the reason is written in.

    Returns
    -------
    Verdict
        Exactly on a limit conforms where the guard is nought. Values are compared to 1e-9 of the canonical unit,
        so that a limit typed in inches and the same limit typed in millimetres give the same answer.

    Source
    ------
    ISO 14253-1:2017, guard factor 1.65 (from memory); GUM for the uncertainty.
    """
    u = None
    if gauge is not None and gauge.kind == kind:
        u = uncertainty.reading_u(gauge.resolution, gauge.stated_error)
    return _judged(value, limit, u, kind, unit, translation())


def judge_trusted(value: float | None, limit: Limit, trust: Trust | None, kind: str, unit: str) -> Verdict:
    """Judge a value by what its gauge was worth when it was read.

    Parameters
    ----------
    value : float or None
        The reading [canonical unit of `kind`]; None where there is none yet.
    limit : Limit
        What it answers to.
    trust : Trust or None
        The gauge, and what the shop's rules make of its calibration.
    kind, unit : str
        As for `judge`.

    Returns
    -------
    Verdict
        The verdict of `judge` with the stated error as it counts; uncertain where the rules withhold one. The reason
        names every doubt about the gauge.

    Source
    ------
    Counting the stated error several times is common practice; what follows from it is ISO 14253-1 as in `judge`.
    """
    verdict = judge(value, limit, None if trust is None else trust.counted, kind, unit)
    if trust is None or not trust.doubts or verdict.answer is Answer.MISSING:
        return verdict
    if trust.is_withheld:
        reason = tr("No verdict is given. {why}", why=trust_words(trust))
        return replace(verdict, answer=Answer.UNCERTAIN, reason=reason)
    return replace(verdict, reason=f"{verdict.reason} {trust_words(trust)}")


@lru_cache(maxsize=8192)  # a job is judged anew at each reading, nearly all of it from the same values
def _judged(
    value: float | None, limit: Limit, u: float | None, kind: str, unit: str, language: Callable[[str], str]
) -> Verdict:
    if limit.low is None and limit.high is None:
        return Verdict(Answer.MISSING, tr("The spec card gives no limit to judge it by."))
    if value is None:
        reason = tr("There is no reading yet; the limit is {limit}.", limit=_zone(limit, kind, unit))
        return Verdict(Answer.MISSING, reason)
    guard = uncertainty.guard(u or 0.0)
    answer = _answer(value, limit, guard)
    reason = _reason(answer, value, limit, u, kind, unit)
    if u is None:
        return Verdict(answer, reason)
    return Verdict(answer, reason, uncertainty.expanded_u(u), guard)


def judge_choice(text: str, choices: Sequence[Answerable]) -> Verdict | None:
    """Judge an answer that is a choice.

    Parameters
    ----------
    text : str
        Key of the answer; "" where there is none yet.
    choices : sequence of Answerable
        What may be answered, and which of it conforms.

    Returns
    -------
    Verdict or None
        None where the answer is only noted. An answer that is not among the choices (written by another version of
        the program) is uncertain.
    """
    if all(choice.is_good is None for choice in choices):
        return None
    if not text:
        return Verdict(Answer.MISSING, tr("There is no answer yet."))
    for choice in choices:
        if choice.key == text:
            if choice.is_good is None:
                return None
            answer = Answer.CONFORMS if choice.is_good else Answer.DOES_NOT_CONFORM
            return Verdict(answer, tr("“{label}” {verdict}.", label=tr(choice.label), verdict=tr(ANSWER_WORDS[answer])))
    return Verdict(Answer.UNCERTAIN, tr("“{answer}” is none of the answers known here; answer again.", answer=text))


def overall(verdicts: Iterable[Verdict]) -> Answer:
    """Return the worst of several verdicts: does not conform, missing, uncertain, conforms.

    Where nothing was judged the answer is missing: nothing is not proof of conformity.
    """
    answers = {verdict.answer for verdict in verdicts}
    return next((answer for answer in Answer if answer in answers), Answer.MISSING)


def _settled(value: float) -> float:
    """Return a value as it is compared: to 1e-9 of its unit, far below any gauge and far above float noise."""
    return round(value, 9)


def _edges(limit: Limit) -> tuple[float, float]:
    """Return both limits, an open side at infinity."""
    return (
        -math.inf if limit.low is None else limit.low,
        math.inf if limit.high is None else limit.high,
    )


def _is_hopeless(limit: Limit, guard: float) -> bool:
    """Whether the limits lie so close together that no reading with this guard can conform."""
    low, high = _edges(limit)
    return guard > 0.0 and _settled(2.0 * guard) >= _settled(high - low)


def _answer(value: float, limit: Limit, guard: float) -> Answer:
    """Return the answer by the decision rule."""
    low, high = _edges(limit)
    settled = _settled(value)
    if settled < _settled(low - guard) or settled > _settled(high + guard):
        return Answer.DOES_NOT_CONFORM
    if not _is_hopeless(limit, guard) and _settled(low + guard) <= settled <= _settled(high - guard):
        return Answer.CONFORMS
    return Answer.UNCERTAIN


def _reason(answer: Answer, value: float, limit: Limit, u: float | None, kind: str, unit: str) -> str:
    """Return the sentence that goes with an answer; `u` None where no gauge is known."""
    decimals = _decimals([v for v in (value, limit.low, limit.high) if v is not None], kind, unit)
    guard = uncertainty.guard(u or 0.0)
    fields = {
        "value": quantities.show(kind, value, unit, decimals),
        "limit": _zone(limit, kind, unit, decimals),
        "doubt": _doubt(u, kind, unit),
        "guard": _width(guard, kind, unit),
    }
    if answer is Answer.CONFORMS:
        return tr("{value} is within the limit ({limit}); {doubt}.", **fields)
    if answer is Answer.DOES_NOT_CONFORM and value > _edges(limit)[1]:
        return tr("{value} is above the limit ({limit}); {doubt}.", **fields)
    if answer is Answer.DOES_NOT_CONFORM:
        return tr("{value} is below the limit ({limit}); {doubt}.", **fields)
    if _is_hopeless(limit, guard):
        return tr(
            "{value} cannot be judged by the limit ({limit}): {doubt}, so no reading can conform; take a finer gauge.",
            **fields,
        )
    return tr(
        "{value} is too near the limit ({limit}) to tell: {doubt}, which leaves {guard} either side of it open.",
        **fields,
    )


def _doubt(u: float | None, kind: str, unit: str) -> str:
    """Return what is known of the uncertainty, as part of a sentence."""
    if u is None:
        return tr("no gauge is named, so no uncertainty is counted")
    if u == 0.0:
        return tr("the gauge states no error, so no uncertainty is counted")
    return tr("the gauge is uncertain by ±{expanded} (k = 2)", expanded=_width(uncertainty.expanded_u(u), kind, unit))


def _zone(limit: Limit, kind: str, unit: str, decimals: int | None = None) -> str:
    """Return the limits as people read them."""
    low, high = _edges(limit)
    if math.isinf(high):
        return tr("at least {low}", low=quantities.show(kind, low, unit, decimals))
    shown_high = quantities.show(kind, high, unit, decimals)
    if math.isinf(low):
        return tr("at most {high}", high=shown_high)
    return tr("{low} to {high}", low=quantities.number(kind, low, unit, decimals), high=shown_high)


def _decimals(values: Sequence[float], kind: str, unit: str) -> int:
    """Return the fewest decimals that keep different values apart, so that 0.1004 is never shown as 0.100."""
    usual = quantities.KINDS[kind].unit(unit).decimals
    wanted = len({_settled(value) for value in values})
    for decimals in range(usual, usual + 6):
        if len({quantities.number(kind, value, unit, decimals) for value in values}) >= wanted:
            return decimals
    return usual + 6


def _width(width: float, kind: str, unit: str) -> str:
    """Return an uncertainty with two significant digits (GUM 7.2.6) in the unit the value is shown in."""
    kind, unit = quantities.width_of(kind, unit)
    in_unit = quantities.to_unit(kind, width, unit)
    decimals = max(0, 1 - math.floor(math.log10(in_unit))) if in_unit > 0.0 else None
    return quantities.show(kind, width, unit, decimals)
