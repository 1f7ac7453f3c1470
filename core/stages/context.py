"""The readings of one job, seen from the rules: who wants a value asks here, whoever stored it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from core.facts import Gauge, Job, Reading, ShopRules, SpecCard
from core.gauges import Trust, combined, trusted


def current_readings(readings: Iterable[Reading]) -> dict[tuple[str, str, str, int], Reading]:
    """Return the readings that stand, by (stage, entry, position, trial): the last written wins."""
    standing: dict[tuple[str, str, str, int], Reading] = {}
    for reading in sorted(readings, key=lambda r: r.id):
        standing[reading.stage, reading.entry, reading.position, reading.trial] = reading
    # An empty text is a withdrawal: the fact stays in the log, the field is open again.
    return {place: reading for place, reading in standing.items() if reading.text}


@dataclass(frozen=True)
class Context:
    """One job with everything written about it; immutable, so a change makes a new one.

    `rules` are the shop's rules it is judged by: those in force when it was signed, or those of now.
    """

    job: Job
    readings: tuple[Reading, ...] = ()
    gauges: Mapping[int, Gauge] = field(default_factory=dict)
    rules: ShopRules = field(default_factory=ShopRules)

    @property
    def card(self) -> SpecCard:
        """The spec card revision the job is pinned to."""
        return self.job.card

    @cached_property
    def current(self) -> dict[tuple[str, str, str, int], Reading]:
        """The readings that stand, by (stage, entry, position, trial)."""
        return current_readings(self.readings)

    def reading(self, stage: str, entry: str, position: str = "", trial: int = 0) -> Reading | None:
        """Return the standing reading at one place, or None."""
        return self.current.get((stage, entry, position, trial))

    def value(self, stage: str, entry: str, position: str = "", trial: int = 0) -> float | None:
        """Return the standing value [canonical unit] at one place, or None."""
        reading = self.reading(stage, entry, position, trial)
        return None if reading is None else reading.value

    def text(self, stage: str, entry: str, position: str = "", trial: int = 0) -> str:
        """Return the standing text (for choices: the key) at one place, or ""."""
        reading = self.reading(stage, entry, position, trial)
        return "" if reading is None else reading.text

    def values(self, stage: str, entry: str, trial: int = 0) -> dict[str, float]:
        """Return the standing values of one entry by position key, in the order of entry."""
        return {
            position: reading.value
            for (s, e, position, t), reading in self.current.items()
            if (s, e, t) == (stage, entry, trial) and reading.value is not None
        }

    def trials(self, stage: str) -> tuple[int, ...]:
        """Return the numbers of the trials that carry a reading, ascending."""
        return tuple(sorted({t for (s, _, _, t) in self.current if s == stage and t > 0}))

    def accepted_trial(self, stage: str, accept: str) -> int | None:
        """Return the last trial whose `accept` entry says yes, or None."""
        accepted = [t for (s, e, _, t), r in self.current.items() if s == stage and e == accept and r.text == "yes"]
        return max(accepted, default=None)

    def trust(self, reading: Reading | None) -> Trust | None:
        """Return what the gauge of a reading was worth when it was taken; None where no gauge is known."""
        gauge = None if reading is None or reading.gauge_id is None else self.gauges.get(reading.gauge_id)
        return None if reading is None or gauge is None else trusted(gauge, reading.taken_at, self.rules)

    def trust_of(self, stage: str, entry: str, trial: int = 0) -> Trust | None:
        """Return what the gauges of an entry's readings are worth together, or None: the coarsest counts."""
        here = [r for (s, e, _, t), r in self.current.items() if (s, e, t) == (stage, entry, trial)]
        return combined(trust for reading in here if (trust := self.trust(reading)) is not None)

    def gauge_of(self, stage: str, entry: str, trial: int = 0) -> Gauge | None:
        """Return the coarsest gauge used for an entry, with its stated error as verdicts count it, or None."""
        trust = self.trust_of(stage, entry, trial)
        return None if trust is None else trust.counted
