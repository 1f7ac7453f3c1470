"""What a family has taught, in words: the rows and sentences of the owner's page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from core.advice.record import LEAST_TRIALS, STEP_MM, Bin, FamilyRecord, Score, Start, Usual
from core.language import mark, tr
from core.quantities import show, unit_for
from core.stages import stage
from core.stages.advised import percent

NOTHING = "–"
STEPS_MM = {"metric": STEP_MM, "inch": 0.0254}
"""The step of ring sum and ring gear torque and backlash are told for: 0.01 mm, or a thousandth of an inch."""

STARTS = {
    "history": mark("Earlier jobs alone"),
    "found": mark("Earlier jobs and the rings as found"),
    "stack": mark("Earlier jobs and a measured stack"),
}


@dataclass(frozen=True)
class TaughtRow:
    """One thing the family has taught: what is usual, how single axles scatter around it, and how many told it."""

    what: str
    usual: str
    scatter: str
    jobs: str


def taught_rows(record: FamilyRecord, units: str) -> list[TaughtRow]:
    """Return what is usual in a family, in the shop's system of units."""
    step = _length(STEPS_MM[units], units)
    steps = STEPS_MM[units] / STEP_MM

    def row(what: str, usual: Usual | None, kind: str, times: float | None = None) -> TaughtRow:
        if usual is None:
            return TaughtRow(what, tr("not known yet"), NOTHING, "0")
        unit = unit_for(kind, units)
        # What a small step is worth is told a digit finer than any gauge shows.
        decimals, times = (unit.decimals, 1.0) if times is None else (unit.decimals + 1, times)
        return TaughtRow(
            what,
            show(kind, times * usual.value, unit.id, decimals),
            tr("±{scatter}", scatter=show(kind, times * usual.scatter, unit.id, decimals)),
            str(usual.jobs) if usual.jobs else tr("assumed"),
        )

    what = tr("Travel of both nuts at no clearance") if record.is_set_by_nuts else tr("Ring sum at no clearance")
    rows = [row(what, record.sum_mm, "length")]
    if not record.is_set_by_nuts:
        rows.append(row(tr("… less the rings as found"), record.found_mm, "length"))
        rows.append(row(tr("… less the measured stack"), record.stack_mm, "length"))
    return [
        *rows,
        row(tr("Turning torque for each {step} of sum", step=step), record.torque_nm, "torque", steps),
        row(tr("Backlash at an even split"), record.even_mm, "length"),
        row(tr("… less what was found says of it"), record.lash_found_mm, "length"),
        row(tr("Backlash for each {step} of ring gear", step=step), record.lash_mm, "length", steps),
    ]


@dataclass(frozen=True)
class StartRow:
    """What a first trial can start from, in words."""

    what: str
    known: str
    chance: str


def start_rows(record: FamilyRecord, units: str) -> list[StartRow]:
    """Return how surely a first trial can conform, by what is known before it."""
    return [
        StartRow(
            tr(STARTS[start.what]),
            tr("±{doubt}", doubt=_length(2.0 * start.sd_mm, units)),
            NOTHING if start.chance is None else percent(start.chance),
        )
        for start in record.starts
    ]


@dataclass(frozen=True)
class ScoreRow:
    """What came of the advice of a stage, for the chances stated between two bounds."""

    stage: str
    stated: str
    trials: str
    mean: str
    share: str


def score_rows(record: FamilyRecord) -> list[ScoreRow]:
    """Return what came of followed advice by the chance stated; stages in which none was followed are left out."""
    return [_score_row(score, one) for score in record.scores if score.trials for one in score.bins]


def _score_row(score: Score, one: Bin) -> ScoreRow:
    return ScoreRow(
        tr(stage(score.stage).label),
        _between(one),
        str(one.trials),
        NOTHING if one.stated is None else percent(one.stated),
        _share(one),
    )


def _between(one: Bin) -> str:
    low, high = round(100.0 * one.low), round(100.0 * one.high)
    if low == 0:
        return tr("under {high} %", high=high)
    return tr("over {low} %", low=low) if high == 100 else tr("{low} – {high} %", low=low, high=high)


def _share(one: Bin) -> str:
    if one.share is None or one.between is None:
        return NOTHING
    low, high = (round(100.0 * end) for end in one.between)
    return tr(
        "{share} % ({low} – {high} %)",
        share=round(100.0 * one.share),
        low=low,
        high=high,
    )


def bound_sentence(record: FamilyRecord, units: str) -> str:
    """Say what history can do at most for a first trial, and what measuring the stack would buy."""
    starts = {start.what: start for start in record.starts}
    alone, stack, window = starts["history"], starts.get("stack"), record.window_mm
    if window is None or alone.chance is None:
        return tr("The card gives no two limits for the turning torque, so nothing can be said of a first trial.")
    said = tr(
        "One axle differs from the next: however many jobs there are, they tell the sum at no clearance to "
        "±{doubt}, and the limits of the turning torque leave ±{window}. So history alone makes a first trial no "
        "surer than {chance}.",
        doubt=_length(2.0 * alone.sd_mm, units),
        window=_length(window, units),
        chance=percent(alone.chance),
    )
    return said if stack is None else f"{said} {_stack_words(stack, units)}"


def _stack_words(stack: Start, units: str) -> str:
    return tr(
        "With the stack measured before it the sum is known to ±{doubt}, and a first trial is as sure as {chance}.",
        doubt=_length(2.0 * stack.sd_mm, units),
        chance=percent(stack.chance or 0.0),
    )


def score_sentences(record: FamilyRecord) -> Iterator[str]:
    """Yield for each stage how the chances stated compare with what happened, or that it is too early to tell."""
    for score in record.scores:
        yield tr("{stage}: {said}", stage=tr(stage(score.stage).label), said=_score_words(score))


def _score_words(score: Score) -> str:
    if not score.trials:
        return f"{tr('no trial followed the advice yet.')} {_others_words(score)}".rstrip()
    so_far = tr(
        "of {trials} trials that followed the advice {conformed} conformed; by the chances stated it should have been "
        "{expected:.1f} ± {doubt:.1f}.",
        trials=score.trials,
        conformed=score.conformed,
        expected=score.expected,
        doubt=2.0 * score.doubt,
    )
    if not score.is_told:
        few = tr("That is too few to judge the chances by; from {least} on it can be told.", least=LEAST_TRIALS)
        return f"{so_far} {few}"
    if abs(score.off) <= 2.0:
        return f"{so_far} {tr('The chances stated hold.')}"
    if score.off < 0.0:
        return f"{so_far} {tr('The chances stated are too high: count on less than they say.')}"
    return f"{so_far} {tr('The chances stated are too low: more conforms than they say.')}"


def _others_words(score: Score) -> str:
    if score.others == 1:
        return tr("In one trial another pair was fitted.")
    return tr("In {others} trials another pair was fitted.", others=score.others) if score.others else ""


def _length(value_mm: float, units: str) -> str:
    return show("length", value_mm, unit_for("length", units).id)
