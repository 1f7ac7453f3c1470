"""What a stage looks like once its readings have been judged; the one thing windows and sheets are made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.calculations import Outcome
from core.facts import Gauge, Limit, Reading
from core.gauges import Doubt, Trust
from core.stages.context import Context
from core.stages.entry import Derived, Entry, Position, Remark, Stage
from core.verdict import Verdict


@dataclass(frozen=True)
class FieldState:
    """One place of one entry: what was read there, what it answers to, and the verdict (None: no limit).

    `judged_value` is what the reading is worth where its limit is measured [canonical unit]; `trust` is what its gauge
    was worth when it was taken, None where no gauge is known.
    """

    entry: Entry
    position: Position
    trial: int
    reading: Reading | None
    limit: Limit | None
    verdict: Verdict | None
    gauge: Gauge | None = None
    superseded: tuple[Reading, ...] = ()
    judged_value: float | None = None
    trust: Trust | None = None

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Why the reading is marked, if it is."""
        return () if self.trust is None else self.trust.doubts


@dataclass(frozen=True)
class DerivedState:
    """One computed value and its verdict (None: no limit); `outcome` tells how, `trouble` why it could not be.

    `trust` is what the gauges of the readings it is judged by were worth.
    """

    derived: Derived
    trial: int
    value: float | None
    limit: Limit | None
    verdict: Verdict | None
    outcome: Outcome | None = None
    trouble: str = ""
    trust: Trust | None = None

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Why the readings it comes from are marked, if they are."""
        return () if self.trust is None or self.value is None else self.trust.doubts

    @property
    def is_shown(self) -> bool:
        """Whether it belongs on a page: an aid keeps out of sight until its inputs are there."""
        return self.derived.work is None or self.value is not None or bool(self.trouble)


@dataclass(frozen=True)
class TrialState:
    """One trial: its fields, what they come to, and whether it was accepted."""

    number: int
    fields: tuple[FieldState, ...]
    derived: tuple[DerivedState, ...]
    is_accepted: bool
    verdict: Verdict


@dataclass(frozen=True)
class StageState:
    """A stage as it stands: fields outside trials, trials (the last may be empty), mark and next thing."""

    stage: Stage
    fields: tuple[FieldState, ...]
    derived: tuple[DerivedState, ...]
    trials: tuple[TrialState, ...]
    remarks: Sequence[Remark]
    missing: tuple[str, ...]
    gate: str | None
    next_thing: str
    verdict: Verdict

    @property
    def accepted(self) -> TrialState | None:
        """The accepted trial, or None."""
        return next((t for t in reversed(self.trials) if t.is_accepted), None)


@dataclass(frozen=True)
class JobState:
    """A whole job as it stands."""

    context: Context
    stages: tuple[StageState, ...]

    def stage(self, key: str) -> StageState:
        """Return one stage by its key; KeyError where there is none."""
        for state in self.stages:
            if state.stage.key == key:
                return state
        raise KeyError(key)
