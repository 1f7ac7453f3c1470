"""What a unit was like at each of its visits, and what wore between them.

Pure: judged jobs and what else the logbook knows of them go in, frozen lines come out; who reads the logbook is
`core.workshop`, how it is said is `core.history_words`.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from core.facts import Gauge, Job, JobEvent, JobParts, Photo, Reading
from core.gauges import day_of
from core.mechanics.uncertainty import expanded_u, reading_u
from core.stages.entry import FOUND, LEFT_AS
from core.stages.state import JobState, StageState

EYE_DOUBT = 0.05
"""How well a share of a tooth is read by eye (common practice)."""
OIL = (("fill", "oil_grade"), ("fill", "oil_volume"))
"""What was filled in: stage and entry."""


# -- one visit ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Worth:
    """A value a visit found or left, under the key both share; `doubt` is its expanded uncertainty (k = 2)."""

    key: str
    label: str
    kind: str
    unit: str
    value: float
    doubt: float = 0.0


@dataclass(frozen=True)
class Visit:
    """What one job found at the unit, and what it left, by the keys the two share."""

    job: Job
    found: Mapping[str, Worth] = field(default_factory=dict)
    left: Mapping[str, Worth] = field(default_factory=dict)


def visit(state: JobState) -> Visit:
    """Return what a job found and left; of trials only the accepted one counts."""
    worths = [(moment, worth) for stage in state.stages for moment, worth in _worths(stage)]
    found, left = ({w.key: w for m, w in worths if m == moment} for moment in (FOUND, LEFT_AS))
    return Visit(state.context.job, found, left)


def _worths(stage: StageState) -> Iterator[tuple[str, Worth]]:
    accepted = stage.accepted
    for read in (*stage.fields, *(accepted.fields if accepted else ())):
        entry = read.entry
        # What is read at several places is compared by what is computed from it.
        if entry.compares and len(entry.positions) == 1 and read.judged_value is not None:
            doubt = _doubt(read.gauge, entry.kind)
            label = entry.sheet_label or entry.label
            yield entry.moment, Worth(entry.compares, label, entry.kind, entry.unit, read.judged_value, doubt)
    for computed in (*stage.derived, *(accepted.derived if accepted else ())):
        derived, value = computed.derived, computed.value
        if derived.compares and value is not None:
            doubt = _doubt(computed.trust.gauge if computed.trust else None, derived.kind)
            label = derived.sheet_label or derived.label
            yield derived.moment, Worth(derived.compares, label, derived.kind, derived.unit, value, doubt)


def _doubt(gauge: Gauge | None, kind: str) -> float:
    if gauge is None:
        return EYE_DOUBT if kind == "ratio" else 0.0
    return expanded_u(reading_u(gauge.resolution, gauge.stated_error))


# -- what was corrected ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Replaced:
    """A reading that stands no more, and the one that took its place; an empty text there took it back."""

    before: Reading
    after: Reading

    @property
    def is_taken_back(self) -> bool:
        """Whether nothing stands in its place."""
        return not self.after.text


def replaced_readings(readings: Iterable[Reading]) -> tuple[Replaced, ...]:
    """Return every reading that was replaced or taken back, in the order that happened."""
    by_id = {reading.id: reading for reading in readings}
    pairs = ((by_id.get(after.replaces or 0), after) for after in sorted(by_id.values(), key=lambda r: r.id))
    return tuple(Replaced(before, after) for before, after in pairs if before is not None and before.text)


def replaced_by_place(readings: Iterable[Reading]) -> dict[tuple[str, str, str, int], list[Replaced]]:
    """Return what was replaced or taken back by stage, entry, position and trial, in the order that happened."""
    found: dict[tuple[str, str, str, int], list[Replaced]] = defaultdict(list)
    for replaced in replaced_readings(readings):
        old = replaced.before
        found[old.stage, old.entry, old.position, old.trial].append(replaced)
    return found


@dataclass(frozen=True)
class Change:
    """What became of one place since a moment: None before, it was added; None now, it was taken back."""

    before: Reading | None
    now: Reading | None

    @property
    def reading(self) -> Reading:
        """One of the two, for the place they share."""
        reading = self.now or self.before
        if reading is None:
            raise LookupError("nothing changed here")
        return reading


def changes_since(readings: Iterable[Reading], since: datetime) -> tuple[Change, ...]:
    """Return where another reading stands than did at a moment, in the order of writing.

    Parameters
    ----------
    readings : iterable of Reading
        Everything written about a job.
    since : datetime
        The moment; what was written at it or later is new.
    """
    before: dict[tuple[str, str, str, int], Reading] = {}
    now: dict[tuple[str, str, str, int], Reading] = {}
    for reading in sorted(readings, key=lambda r: r.id):
        place = reading.stage, reading.entry, reading.position, reading.trial
        if reading.taken_at < since and place not in now:
            before[place] = reading
        else:
            now[place] = reading
    found = []
    for place, newest in now.items():
        old = before.get(place)
        change = Change(old if old is not None and old.text else None, newest if newest.text else None)
        if change.before is not None or change.now is not None:
            found.append(change)
    return tuple(found)


# -- visits in a row ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Dossier:
    """Everything the logbook knows of one visit."""

    state: JobState
    events: Sequence[JobEvent] = ()
    parts: JobParts = field(default_factory=JobParts)
    photos: Sequence[Photo] = ()


@dataclass(frozen=True)
class Wear:
    """What a value did between two visits: as found now against as left the time before."""

    left: Worth
    found: Worth
    days: int

    @property
    def change(self) -> float:
        """Found minus left [canonical unit]."""
        return self.found.value - self.left.value

    @property
    def doubt(self) -> float | None:
        """How far the two gauges can tell them apart (k = 2), None where one of the readings names no gauge.

        The root of the sum of the squares of both expanded uncertainties.
        """
        return math.hypot(self.left.doubt, self.found.doubt) if self.left.doubt and self.found.doubt else None

    @property
    def has_moved(self) -> bool:
        """Whether the two differ by more than the gauges that are named can tell; compared to 1e-9."""
        return round(abs(self.change) - math.hypot(self.left.doubt, self.found.doubt), 9) > 0.0

    @property
    def is_within_doubt(self) -> bool:
        """Whether both gauges are named and cannot tell the two apart."""
        return self.doubt is not None and not self.has_moved


@dataclass(frozen=True)
class UnitVisit:
    """One visit with all that belongs to it; `wear` is since the visit before, by key."""

    visit: Visit
    left_at: datetime
    events: tuple[JobEvent, ...]
    replaced: tuple[Replaced, ...]
    parts: JobParts
    photos: tuple[Photo, ...]
    oil: tuple[str, ...]
    state: JobState
    wear: Mapping[str, Wear] = field(default_factory=dict)
    days_since: int | None = None

    @property
    def job(self) -> Job:
        """The job of this visit."""
        return self.visit.job

    @property
    def sheets(self) -> tuple[JobEvent, ...]:
        """The sheets that were issued, oldest first."""
        return tuple(event for event in self.events if event.what == "sheet")

    @property
    def amendments(self) -> tuple[JobEvent, ...]:
        """When it was opened again and which of the job's words were corrected, oldest first."""
        return tuple(event for event in self.events if event.what in ("reopened", "corrected"))


@dataclass(frozen=True)
class UnitHistory:
    """All visits of one unit, oldest first, and the values that are followed, in the order of work."""

    serial: str
    visits: tuple[UnitVisit, ...]
    followed: tuple[Worth, ...]


def unit_history(serial: str, dossiers: Iterable[Dossier]) -> UnitHistory:
    """Put the visits of a unit in a row.

    Parameters
    ----------
    serial : str
        The unit's serial number as it is on record.
    dossiers : iterable of Dossier
        One for each visit, in any order.

    Returns
    -------
    UnitHistory
        Wear is told from each visit to the very next, and only for what the one left and the other found.
    """
    ordered = sorted(dossiers, key=lambda d: (d.state.context.job.opened_at, d.state.context.job.id))
    visits: list[UnitVisit] = []
    for dossier in ordered:
        visits.append(_placed(dossier, visits[-1] if visits else None))
    followed: dict[str, Worth] = {}
    for one in visits:
        for key, worth in (*one.visit.found.items(), *one.visit.left.items()):
            followed.setdefault(key, worth)
    order = {key: at for at, key in enumerate(_declared(ordered))}
    return UnitHistory(serial, tuple(visits), tuple(sorted(followed.values(), key=lambda w: order[w.key])))


def _placed(dossier: Dossier, before: UnitVisit | None) -> UnitVisit:
    state, seen = dossier.state, visit(dossier.state)
    days = None if before is None else max((day_of(seen.job.opened_at) - day_of(before.left_at)).days, 0)
    return UnitVisit(
        visit=seen,
        left_at=_left_at(state),
        events=tuple(dossier.events),
        replaced=replaced_readings(state.context.readings),
        parts=dossier.parts,
        photos=tuple(dossier.photos),
        oil=tuple(text for stage, entry in OIL if (text := state.context.text(stage, entry))),
        state=state,
        wear={} if before is None or days is None else wear(before.visit, seen, days),
        days_since=days,
    )


def _left_at(state: JobState) -> datetime:
    """Return when a unit left: when it was signed, else when anything was last read of it."""
    job = state.context.job
    return job.signed_at or max([job.opened_at, *(reading.taken_at for reading in state.context.readings)])


def wear(before: Visit, now: Visit, days: int) -> dict[str, Wear]:
    """Return what every value the one left and the other found did in the days between, by its key."""
    return {key: Wear(before.left[key], found, days) for key, found in now.found.items() if key in before.left}


def _declared(dossiers: Sequence[Dossier]) -> list[str]:
    """Return every key that is followed, in the order of the stages."""
    keys: dict[str, None] = {}
    for stage in (stage for dossier in dossiers for stage in dossier.state.stages):
        keys |= dict.fromkeys(entry.compares for entry in stage.stage.entries)
        keys |= dict.fromkeys(derived.compares for derived in stage.stage.derived)
    return list(keys)
