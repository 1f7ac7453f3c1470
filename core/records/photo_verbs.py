"""Photos: bound to a place in a job, stored in the logbook, struck but never taken away."""

from __future__ import annotations

from core.records.unit_of_work import UnitOfWork


class PhotoVerbs(UnitOfWork):
    """What can be done with photos."""
