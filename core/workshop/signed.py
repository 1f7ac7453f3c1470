"""Signed jobs in bulk: read once, kept under a key that changes when they are signed anew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice

from core.facts import Gauge, JobLine
from core.records import Work
from core.stages.context import Context

AT_ONCE = 200
"""So many jobs are read in one go: enough to be quick, few enough for any engine's list of parameters."""

Sealed = tuple[str, int]
"""A signed job as it is now, whatever it is called in this logbook: nothing in it changes under this key."""


def key_of(line: JobLine) -> Sealed:
    """Return the key what a signed job came to is kept under."""
    return line.uid, line.sealed or 0


def contexts_of(
    work: Work, lines: Sequence[JobLine], gauges: Mapping[int, Gauge], stages: Sequence[str] = ()
) -> Iterator[tuple[JobLine, Context]]:
    """Yield jobs with what is written about them (in some stages); values do not hang on the shop's rules."""
    waiting = iter(lines)
    while some := list(islice(waiting, AT_ONCE)):
        ids = [line.id for line in some]
        jobs, readings = work.jobs_by_id(ids), work.readings_of(ids, stages)
        for line in some:
            yield line, Context(jobs[line.id], tuple(readings[line.id]), gauges)


def by_id(gauges: Iterable[Gauge]) -> dict[int, Gauge]:
    """Return gauges by their id."""
    return {gauge.id: gauge for gauge in gauges}
