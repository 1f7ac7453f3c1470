"""The drawer: rings, shims, spacers, seals and bearings, how they were measured, and where every piece went."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from sqlalchemy import Row, select

from core.facts import Part, Ring
from core.language import tr
from core.records import tables
from core.records.texts import line, number, to_time_text, whole
from core.records.unit_of_work import UnitOfWork

THICKEST_MM = 100.0
MOST_PIECES = 9999


class DrawerVerbs(UnitOfWork):
    """What can be done with the drawer."""

    def parts(self) -> list[Part]:
        """Return what the drawer holds, in the order it was added."""
        measure = tables.part_measure
        rounds: dict[int, dict[int, list[float]]] = defaultdict(lambda: defaultdict(list))
        for row in self._rows(select(measure).order_by(measure.c.part_id, measure.c.round, measure.c.place)):
            rounds[row.part_id][row.round].append(row.mm)
        rows = self._rows(select(tables.part, tables.part.c.count.label("pieces")).order_by(tables.part.c.id))
        return [_part(row, tuple(rounds[row.id][max(rounds[row.id])]) if rounds[row.id] else ()) for row in rows]

    def rings(self) -> list[Ring]:
        """Return the rings and shims of the drawer, thinnest first."""
        rings = [
            Ring(
                part.id, part.place, part.nominal_mm or 0.0, part.thickness_mm if part.measured_mm else None, part.count
            )
            for part in self.parts()
            if part.kind in ("ring", "shim") and not part.is_retired
        ]
        return sorted(rings, key=lambda ring: (ring.nominal_mm, ring.measured_mm or ring.nominal_mm, ring.id))

    def add_ring(self, place: str, nominal_mm: float, measured_mm: float | None = None, count: int = 1) -> Ring:
        """Put rings of one thickness [mm] into the drawer."""
        thinnest_mm = 0.001
        added = self._add(
            tables.part,
            kind="ring",
            name="",
            place=line(place, tr("The place in the drawer")),
            nominal_mm=number(nominal_mm, tr("The thickness in mm"), thinnest_mm, THICKEST_MM),
            count=whole(count, tr("The number of rings"), 0, MOST_PIECES),
            reorder_level=0,
            is_retired=0,
        )
        now = self._clock()
        at = to_time_text(now, now)
        self._add(
            tables.part_move, part_id=added, what="received", pieces=count, stage="", entry="", trial=0,
            person=self._hand.person, at=at, reason="",
        )  # fmt: skip
        if measured_mm is not None:
            number(measured_mm, tr("The measured thickness in mm"), thinnest_mm, THICKEST_MM)
            self._add(
                tables.part_measure, part_id=added, round=1, place=1, mm=measured_mm, person=self._hand.person, at=at
            )
        return next(ring for ring in self.rings() if ring.id == added)


def _part(row: Row[Any], measured_mm: tuple[float, ...]) -> Part:
    return Part(
        id=row.id,
        kind=row.kind,
        name=row.name,
        place=row.place,
        nominal_mm=row.nominal_mm,
        count=row.pieces,
        reorder_level=row.reorder_level,
        measured_mm=measured_mm,
        is_retired=bool(row.is_retired),
        version=row.version,
        uid=row.uid,
    )
