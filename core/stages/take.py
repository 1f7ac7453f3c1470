"""What was typed becomes a value, or a sentence: the one gate every reading passes, whoever typed it."""

from __future__ import annotations

from core.errors import InputError, RuleError
from core.language import tr
from core.quantities import Amount, parse, show
from core.stages.context import Context
from core.stages.entry import Entry, Position, Stage

MOST_TRIALS = 99
"""More trials than this on one stage is a slip of the hand."""


def take(context: Context, stage: Stage, entry: Entry, position: Position, trial: int, text: str) -> Amount:
    """Turn what was typed into an amount, or refuse it.

    Parameters
    ----------
    context : Context
        The job as it stands.
    stage, entry, position, trial
        Where the reading belongs; trial 0 outside trials.
    text : str
        As typed, with or without a unit.

    Returns
    -------
    Amount
        Value in the canonical unit of the entry's kind, with the text and unit as typed.

    Raises
    ------
    InputError
        The text cannot be read, or the value is impossible for this entry.
    RuleError
        The trade's rules refuse it here: wrong trial, ring sum changed, an earlier stage open.
    """
    _check_place(context, entry, trial)
    amount = parse(entry.kind, text, entry.unit, [choice.key for choice in entry.choices])
    _check_plausible(entry, amount)
    if stage.refuse is not None:
        refused = stage.refuse(context, entry, position, trial, amount)
        if refused is not None:
            raise RuleError(*refused)
    if entry.key == stage.accept and amount.text == "yes":
        _check_complete(context, stage, trial)
    return amount


def _check_place(context: Context, entry: Entry, trial: int) -> None:
    if not entry.applies(context.job):
        raise RuleError(tr("{label} is not asked for on this job.", label=tr(entry.label)))
    if entry.is_trial and not 1 <= trial <= MOST_TRIALS:
        raise RuleError(
            tr("{label} belongs to a trial.", label=tr(entry.label)), tr("Say which trial, counted from 1.")
        )
    if not entry.is_trial and trial:
        raise RuleError(tr("{label} does not belong to a trial.", label=tr(entry.label)))


def _check_complete(context: Context, stage: Stage, trial: int) -> None:
    """Refuse to let a trial stay while something it asks for has not been read: what follows is built on it."""
    for entry in stage.entries:
        if not entry.is_trial or not entry.applies(context.job):
            continue
        read = sum(context.reading(stage.key, entry.key, p.key, trial) is not None for p in entry.positions)
        if read < entry.needed_positions:
            raise RuleError(
                tr("Trial {trial} cannot stay yet: {what} is missing.", trial=trial, what=tr(entry.label)),
                tr("Enter what was fitted and measured, then accept it."),
            )


def _check_plausible(entry: Entry, amount: Amount) -> None:
    if amount.value is None:
        return
    if entry.lowest is not None and amount.value < entry.lowest:
        raise InputError(
            tr(
                "{typed} is impossible here: it cannot be less than {least}.",
                typed=amount.text,
                least=show(entry.kind, entry.lowest, amount.unit),
            ),
            tr("Check the sign, the decimal point and the unit."),
        )
    if entry.highest is not None and amount.value > entry.highest:
        raise InputError(
            tr(
                "{typed} is impossible here: it cannot be more than {most}.",
                typed=amount.text,
                most=show(entry.kind, entry.highest, amount.unit),
            ),
            tr("Check the decimal point and the unit."),
        )
