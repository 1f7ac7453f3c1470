"""The owner's page: where every job stands, what came back, and what the shop usually leaves behind."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import cached_property
from pathlib import Path

from core.charts import QUANTITIES, FamilyChart, Measured, family_chart, measured
from core.facts import JobLine
from core.gauges import day_of
from core.history import Visit, visit
from core.overview import (
    BackupStanding,
    Comeback,
    Overview,
    WaitingJob,
    calibrations_due,
    comeback,
    comeback_pairs,
    longest_first,
    waiting_job,
    without_pin,
)
from core.records import Work
from core.records.backups import state_of, usual_folder
from core.stages import evaluate_accepted, evaluate_job, stage
from core.workshop.base import Base
from core.workshop.signed import Sealed, by_id, contexts_of, key_of


class Overviews(Base):
    """What the owner asks about all jobs together.

    What signed jobs come to is kept: they are judged once, and again only after they were reopened and signed anew.
    """

    @cached_property
    def _measured(self) -> dict[Sealed, dict[str, Measured]]:
        return {}

    @cached_property
    def _visits(self) -> dict[Sealed, Visit]:
        return {}

    def overview(self, backup_folder: str = "") -> Overview:
        """Return where every job stands, what came back, and what wants ordering, calibrating, a PIN or a backup.

        Parameters
        ----------
        backup_folder : str
            Where backups are kept, "" for the usual folder.
        """
        now, backup = self._clock(), self._backup(backup_folder)
        with self._logbook.look() as work:
            lines = work.job_lines()
            waiting = [self._waiting(work, line, now) for line in lines if line.sealed is None]
            return Overview(
                now,
                longest_first(waiting),
                len(lines) - len(waiting),
                self._comebacks(work, lines),
                tuple(work.order_list()),
                tuple(calibrations_due(work.gauges(now), day_of(now))),
                without_pin(work.people()),
                backup,
            )

    def _backup(self, chosen: str) -> BackupStanding:
        state = state_of(self._logbook, Path(chosen) if chosen else usual_folder(self._logbook.place))
        return BackupStanding(None if state.newest is None else state.newest.made_at, state.entries_since)

    def _waiting(self, work: Work, line: JobLine, now: datetime) -> WaitingJob:
        state = self._state(work, line.id)
        # Printing a sheet changes nothing in a job, so it is no touch.
        events = [event.at for event in work.events(line.id) if event.what != "sheet"]
        readings = [reading.taken_at for reading in state.context.readings]
        return waiting_job(state, max([line.opened_at, *events, *readings]), now)

    # -- comebacks ---------------------------------------------------------------------------------------------------

    def _comebacks(self, work: Work, lines: Sequence[JobLine]) -> tuple[Comeback, ...]:
        pairs = comeback_pairs(lines)
        wanted = {line.id: line for pair in pairs for line in pair}
        visits = {line.id: self._visits[key_of(line)] for line in wanted.values() if key_of(line) in self._visits}
        missing = [line for line in wanted.values() if line.id not in visits]
        for line, context in contexts_of(work, missing, by_id(work.gauges(self._clock()))):
            visits[line.id] = visit(evaluate_job(context))
            if line.sealed is not None:
                self._visits[key_of(line)] = visits[line.id]
        return tuple(
            comeback(visits[before.id], visits[again.id], before.first_signed_at)
            for before, again in pairs
            if before.first_signed_at is not None
        )

    # -- charts ------------------------------------------------------------------------------------------------------

    def charted_families(self) -> dict[str, int]:
        """Return the casing families by name, with how many signed jobs each has; those without any are left out."""
        with self._logbook.look() as work:
            families = sorted(line.family for line in work.job_lines() if line.sealed is not None)
        return {family: families.count(family) for family in dict.fromkeys(families)}

    def family_charts(self, family: str) -> dict[str, FamilyChart]:
        """Return the charts of one casing family by the key of their quantity."""
        with self._logbook.look() as work:
            signed = [line for line in work.job_lines() if line.sealed is not None and line.family == family]
            self._measure(work, [line for line in signed if key_of(line) not in self._measured])
            # With every zero check: a point read while a zero was off is marked, however long ago that was.
            gauges = by_id(work.gauges())
        return {
            wanted.key: family_chart(
                family, wanted, [(line, self._measured[key_of(line)][wanted.key]) for line in signed], gauges
            )
            for wanted in QUANTITIES
        }

    def _measure(self, work: Work, lines: Sequence[JobLine]) -> None:
        stages = tuple(dict.fromkeys(wanted.stage for wanted in QUANTITIES))
        # No value hangs on the gauges' errors or on another stage, and leaving them out is several times as quick.
        for line, context in contexts_of(work, lines, {}, stages):
            accepted = {key: evaluate_accepted(stage(key), context) for key in stages}
            self._measured[key_of(line)] = {
                wanted.key: measured(wanted, accepted[wanted.stage]) for wanted in QUANTITIES
            }
