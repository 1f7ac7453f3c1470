"""How roughly the shop reads the prints of the tooth contact, as far as its signed jobs tell."""

from __future__ import annotations

from functools import cached_property

from core.advice.contact_scatter import Floats, Scatter, shop_scatter
from core.advice.contact_seen import scatter_taught
from core.records import Work
from core.stages import backlash, contact_pattern
from core.workshop.base import Base
from core.workshop.signed import Sealed, contexts_of, key_of

ENOUGH = 32
"""So many of the last jobs with prints are gone by: of sixteen the scatter is still a third off now and then (tried on
the virtual sets), more hardly change what is believed, and people come and go."""

MOST = 96
"""So many of the last signed jobs are looked through for them."""


class Scatters(Base):
    """What is known of how prints are read; a job is gone through once, and again only after it was signed anew."""

    @cached_property
    def _scatters(self) -> dict[Sealed, Floats | None]:
        return {}

    def _scatter(self, work: Work, but: int) -> Scatter:
        """Return how roughly prints are believed to be read in a job, by what the others told."""
        lines = [line for line in work.job_lines() if line.sealed is not None and line.id != but]
        last = sorted(lines, key=lambda line: line.id, reverse=True)[:MOST]
        found: list[Floats] = []
        for start in range(0, len(last), ENOUGH):
            some = last[start : start + ENOUGH]
            new = [line for line in some if key_of(line) not in self._scatters]
            for line, context in contexts_of(work, new, {}, ("teardown", backlash.KEY, contact_pattern.KEY)):
                self._scatters[key_of(line)] = scatter_taught(context)
            taught = (self._scatters[key_of(line)] for line in some)
            found += [told for told in taught if told is not None]
            if len(found) >= ENOUGH:
                break
        return shop_scatter(found[:ENOUGH])
