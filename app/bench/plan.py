"""What stands on a stage's page, in which order: worked out from the judged stage, before any widget is made."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from core.language import mark, tr
from core.stages.state import DerivedState, FieldState, StageState, TrialState

WORKED_OUT = mark("Worked out")

Key = tuple[str | int, ...]


@dataclass(frozen=True)
class Heading:
    """The heading of a group of entries."""

    label: str
    key: Key


@dataclass(frozen=True)
class EntryHead:
    """The label and limit of an entry that is read at several places."""

    field: FieldState

    @property
    def key(self) -> Key:
        """What tells it from the other rows of the page."""
        return "entry", self.field.entry.key, self.field.trial


@dataclass(frozen=True)
class Place:
    """One field; `is_wanted` while its entry still needs readings."""

    field: FieldState
    is_wanted: bool

    @property
    def key(self) -> Key:
        """What tells it from the other rows of the page."""
        return "field", self.field.entry.key, self.field.position.key, self.field.trial


@dataclass(frozen=True)
class Pair:
    """The prints on both flanks, side by side."""

    places: tuple[Place, ...]

    @property
    def key(self) -> Key:
        """What tells it from the other rows of the page."""
        return "pair", *(part for place in self.places for part in place.key)


@dataclass(frozen=True)
class Result:
    """One value that is worked out."""

    derived: DerivedState

    @property
    def key(self) -> Key:
        """What tells it from the other rows of the page."""
        return "derived", self.derived.derived.key, self.derived.trial


@dataclass(frozen=True)
class TrialHead:
    """The line of a trial: its number, what it came to, and whether it is open."""

    trial: TrialState
    is_open: bool

    @property
    def key(self) -> Key:
        """What tells it from the other rows of the page."""
        return "trial", self.trial.number


@dataclass(frozen=True)
class NextTrial:
    """The button that starts the next trial."""

    is_ready: bool
    key: Key = ("next_trial",)


Row = Heading | EntryHead | Place | Pair | Result | TrialHead | NextTrial


def plan(state: StageState, opened: Collection[int] = ()) -> list[Row]:
    """Return the rows of a stage's page.

    Parameters
    ----------
    state : StageState
        The stage as it stands.
    opened : collection of int
        Numbers of earlier trials that are shown in full; the last one always is.
    """
    before, after = _around_trials(state)
    rows = [*_fields(before, state.derived)]
    rows += _loose_results(state, before)
    if state.trials:
        rows += _trials(state, opened)
    rows += _fields(after, ())
    return list(_paired(rows))


def _paired(rows: Sequence[Row]) -> Iterator[Row]:
    """Put prints that follow each other side by side."""
    for is_drawn, run in groupby(rows, key=lambda row: isinstance(row, Place) and row.field.entry.kind == "outline"):
        if is_drawn:
            yield Pair(tuple(row for row in run if isinstance(row, Place)))
        else:
            yield from run


def _around_trials(state: StageState) -> tuple[list[FieldState], list[FieldState]]:
    """Split the fields outside trials: what is worked before, and what closes the stage (notes)."""
    fields = list(state.fields)
    order = {entry.key: at for at, entry in enumerate(state.stage.entries)}
    first_trial = min((order[e.key] for e in state.stage.entries if e.is_trial), default=None)
    if first_trial is not None:
        split = [f for f in fields if order[f.entry.key] < first_trial]
        return split, fields[len(split) :]
    end = len(fields)
    while end and fields[end - 1].entry.kind == "text" and fields[end - 1].entry.needed == 0:
        end -= 1
    return fields[:end], fields[end:]


def _fields(fields: Sequence[FieldState], derived: Sequence[DerivedState], *, has_heads: bool = True) -> Iterator[Row]:
    for group, members in groupby(fields, key=lambda f: f.entry.group):
        of_group = list(members)
        is_said_anyway = len(of_group) == 1 and group == of_group[0].entry.label
        if group and has_heads and not is_said_anyway:
            yield Heading(tr(group), ("group", group, of_group[0].entry.key))
        for _, places in groupby(of_group, key=lambda f: f.entry.key):
            yield from _entry(list(places), derived)


def _entry(places: Sequence[FieldState], derived: Sequence[DerivedState]) -> Iterator[Row]:
    entry = places[0].entry
    if len(places) > 1 or places[0].position.label:
        yield EntryHead(places[0])
    is_wanted = sum(f.reading is not None for f in places) < entry.needed_positions
    for place in places:
        yield Place(place, is_wanted)
    # What is worked out from an entry stands under it.
    for result in derived:
        if result.derived.gauge_entry == entry.key:
            yield Result(result)


def _loose_results(state: StageState, before: Sequence[FieldState]) -> list[Row]:
    """Return the results that belong to no single entry of the page."""
    entries = {f.entry.key for f in before}
    loose = [d for d in state.derived if d.derived.gauge_entry not in entries]
    if not loose:
        return []
    return [Heading(tr(WORKED_OUT), ("group", WORKED_OUT)), *(Result(d) for d in loose)]


def _trials(state: StageState, opened: Collection[int]) -> Iterator[Row]:
    last = state.trials[-1]
    for trial in state.trials:
        is_open = trial is last or trial.number in opened
        yield TrialHead(trial, is_open)
        if is_open:
            yield from _trial(state, trial)
    yield NextTrial(any(f.reading is not None for f in last.fields))


def _trial(state: StageState, trial: TrialState) -> Iterator[Row]:
    """Lay out one trial: what is measured, what it comes to, and then whether it stays."""
    measured = [f for f in trial.fields if f.entry.key != state.stage.accept]
    closing = [f for f in trial.fields if f.entry.key == state.stage.accept]
    yield from _fields(measured, (), has_heads=False)
    yield from (Result(d) for d in trial.derived)
    yield from _fields(closing, (), has_heads=False)
