"""The drawer: rings, shims, spacers, seals and bearings, how they were measured, and where every piece went."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, Select, func, select

from core.errors import ConflictError, InputError, RuleError
from core.facts import PART_WORDS, Part, PartMove
from core.language import tr
from core.records import tables
from core.records.drawer_rows import (
    MOST_PIECES,
    THICKEST_MM,
    THINNEST_MM,
    every_part,
    fits_at,
    in_the_form,
    level,
    move_of,
    named,
    nominal,
    part_of,
    reason_of,
)
from core.records.texts import line, note, number, to_time_text, whole
from core.records.unit_of_work import UnitOfWork, checked_id, no_such

MOST_PLACES = 24


class DrawerVerbs(UnitOfWork):
    """What can be done with the drawer.

    The pieces free in the drawer are always the sum of the part's moves: whatever changes the one writes the other.
    """

    # -- what there is ---------------------------------------------------------------------------------------------

    def parts(self) -> list[Part]:
        """Return what the drawer holds or ever held, in the order it was added."""
        return self._parts(every_part())

    def part(self, part_id: int) -> Part:
        """Return one part.

        Raises
        ------
        NotFoundError
            There is no such part.
        """
        missing = tr("There is no such piece in this logbook.")
        found = self._parts(every_part().where(tables.part.c.id == checked_id(part_id, missing)))
        if not found:
            raise no_such(missing)
        return found[0]

    def order_list(self) -> list[Part]:
        """Return the parts of which less is free than their reorder level; `Part.to_order` says how many lack."""
        part = tables.part
        low = every_part().where(part.c.count < part.c.reorder_level, part.c.is_retired == 0)
        return self._parts(low)

    def moves(self, part_id: int) -> list[PartMove]:
        """Return what happened to the pieces of a part, oldest first.

        Raises
        ------
        NotFoundError
            There is no such part.
        """
        self.part(part_id)
        return self._moves(tables.part_move.c.part_id == part_id)

    def stock_disagreements(self) -> list[str]:
        """Return a sentence for every part whose free pieces are not the sum of its moves; none in a sound logbook."""
        move = tables.part_move
        query = select(move.c.part_id, func.sum(move.c.pieces).label("moved")).group_by(move.c.part_id)
        moved = {row.part_id: int(row.moved) for row in self._rows(query)}
        return [
            tr(
                "{piece} (part {id}): {count} free in the drawer, but its moves come to {moved}.",
                piece=part.called,
                id=part.id,
                count=part.count,
                moved=moved.get(part.id, 0),
            )
            for part in self.parts()
            if part.count != moved.get(part.id, 0)
        ]

    def _parts(self, query: Select[Any]) -> list[Part]:
        rows = self._rows(query)
        measured = self._last_rounds([row.id for row in rows])
        return [part_of(row, measured.get(row.id, ())) for row in rows]

    def _last_rounds(self, part_ids: Sequence[int]) -> dict[int, list[Row[Any]]]:
        measure = tables.part_measure
        last = (
            select(measure.c.part_id, func.max(measure.c.round).label("round"))
            .where(measure.c.part_id.in_(part_ids))
            .group_by(measure.c.part_id)
            .subquery()
        )
        is_last = (measure.c.part_id == last.c.part_id) & (measure.c.round == last.c.round)
        found: dict[int, list[Row[Any]]] = defaultdict(list)
        for row in self._rows(select(measure).join(last, is_last).order_by(measure.c.part_id, measure.c.place)):
            found[row.part_id].append(row)
        return found

    def _moves(self, *which: Any) -> list[PartMove]:
        move, job = tables.part_move, tables.job
        query = select(move, job.c.number).outerjoin(job, job.c.id == move.c.job_id).where(*which)
        return [move_of(row) for row in self._rows(query.order_by(move.c.id))]

    # -- what is put in and taken out ------------------------------------------------------------------------------

    def add_part(
        self,
        kind: str,
        name: str,
        place: str,
        nominal_mm: float | None,
        count: int = 1,
        reorder_level: int = 0,
        fits: str = "",
    ) -> Part:
        """Put pieces of one kind and thickness into the drawer.

        Parameters
        ----------
        kind : str
            ``ring``, ``shim``, ``spacer``, ``seal`` or ``bearing``.
        name : str
            What it is called, where its kind does not say enough; may be empty for what has a thickness.
        place : str
            Where it lies.
        nominal_mm : float or None
            Thickness as stamped or drawn [mm]; a ring, shim or spacer has one.
        count : int
            How many pieces.
        reorder_level : int
            Below this many free pieces it stands on the order list; 0: never.
        fits : str
            Where a shim fits: ``sides``, ``pinion``, or "" where that is not said.

        Raises
        ------
        InputError
            Something is missing, or cannot be.
        """
        if kind not in PART_WORDS:
            raise InputError(tr("{kind!r} is nothing a drawer holds.", kind=kind[:40]), tr("Choose one of the kinds."))
        name, place = named(kind, name), line(place, tr("The place in the drawer"))
        count = whole(count, tr("The number of pieces"), 0, MOST_PIECES)
        added = self._add(
            tables.part,
            kind=kind,
            name=name,
            place=place,
            nominal_mm=nominal(kind, nominal_mm),
            count=0,
            reorder_level=level(reorder_level),
            is_retired=0,
            fits=fits_at(kind, fits),
        )
        if count:
            self._move(self.part(added), "received", count)
        return self.part(added)

    def measure_part(self, part_id: int, places_mm: Sequence[float], gauge_id: int | None = None) -> Part:
        """Write down the thickness of a piece at several places [mm]; the last round counts, the earlier ones stay.

        Raises
        ------
        NotFoundError
            There is no such part or gauge.
        InputError
            No place, too many, or a thickness that cannot be.
        """
        self.part(part_id)
        if gauge_id is not None:
            missing = tr("There is no such gauge in this logbook.")
            gauge = tables.gauge
            if self._row(select(gauge.c.id).where(gauge.c.id == checked_id(gauge_id, missing))) is None:
                raise no_such(missing)
        whole(len(places_mm), tr("The number of measured places"), 1, MOST_PLACES)
        what = tr("The measured thickness in mm")
        places = [number(mm, what, THINNEST_MM, THICKEST_MM) for mm in places_mm]
        measure, now = tables.part_measure, self._clock()
        before = self._row(select(func.max(measure.c.round).label("last")).where(measure.c.part_id == part_id))
        for place, mm in enumerate(places, start=1):
            self._add(
                measure,
                part_id=part_id,
                round=1 + ((before.last or 0) if before is not None else 0),
                place=place,
                mm=mm,
                gauge_id=gauge_id,
                person=self._hand.person,
                at=to_time_text(now, now),
            )
        return self.part(part_id)

    def receive(self, part_id: int, pieces: int, reason: str = "") -> Part:
        """Put further pieces in; a part that was retired is kept again."""
        part = self.part(part_id)
        self._move(part, "received", whole(pieces, tr("The number of pieces"), 1, MOST_PIECES), reason=reason)
        if part.is_retired:
            self._change(tables.part, part_id, is_retired=0)
        return self.part(part_id)

    def count_part(self, part_id: int, counted: int, reason: str, *, seen: int | None = None) -> Part:
        """Set the free pieces to what somebody counted in the drawer; that they agreed is noted too.

        Raises
        ------
        ConflictError
            Pieces came or went since the version `seen`: what was counted is no longer what lies there.
        InputError
            There is no reason, or the count cannot be.
        """
        part = self.part(part_id)
        if seen is not None and seen != part.version:
            raise self._changed_meanwhile(tables.part, part_id)
        counted = whole(counted, tr("The number of pieces"), 0, MOST_PIECES)
        self._move(part, "counted", counted - part.count, reason=reason_of(reason, tr("Write why the count is set.")))
        return self.part(part_id)

    def scrap(self, part_id: int, pieces: int, reason: str) -> Part:
        """Take pieces out for good.

        Raises
        ------
        RuleError
            There are fewer.
        InputError
            There is no reason, or the number cannot be.
        """
        pieces = whole(pieces, tr("The number of pieces"), 1, MOST_PIECES)
        reason = reason_of(reason, tr("Write why it is thrown away."))
        self._move(self.part(part_id), "scrapped", -pieces, reason=reason)
        return self.part(part_id)

    def change_part(self, seen: Part, name: str, place: str, reorder_level: int, fits: str | None = None) -> Part:
        """Correct what a part is called, where it lies, when it is ordered again and, of a shim, where it fits.

        The version of a part counts the pieces that come and go too, which are nobody's business here; so what is
        compared is what stood in the form: `seen`, the part as it was shown. Without `fits` that stays as it was.

        Raises
        ------
        ConflictError
            Somebody changed one of them meanwhile.
        InputError
            One of them cannot be.
        """
        now = self.part(seen.id)
        if in_the_form(now) != in_the_form(seen):
            raise self._changed_meanwhile(tables.part, seen.id)
        self._change(
            tables.part,
            seen.id,
            name=named(now.kind, name),
            place=line(place, tr("The place in the drawer")),
            reorder_level=level(reorder_level),
            fits=now.fits if fits is None else fits_at(now.kind, fits),
        )
        return self.part(seen.id)

    def retire_part(self, part_id: int) -> Part:
        """Keep a part no longer: it is offered to nobody and not ordered again, its moves stay.

        Raises
        ------
        RuleError
            Pieces of it lie in the drawer still.
        """
        part = self.part(part_id)
        if part.count:
            raise RuleError(
                tr("There are still {count} of {piece} in the drawer.", count=part.count, piece=part.called),
                tr("Use them up or scrap them first."),
            )
        if not part.is_retired:
            self._change(tables.part, part_id, is_retired=1)
        return self.part(part_id)

    # -- the one way pieces move -----------------------------------------------------------------------------------

    def _move(
        self,
        part: Part,
        what: str,
        pieces: int,
        *,
        job_id: int | None = None,
        at: tuple[str, str, int] = ("", "", 0),
        reason: str = "",
    ) -> None:
        """Add pieces to those free in the drawer, or take them out; `at` is the stage, entry and trial it is for."""
        after = part.count + pieces
        if after < 0:
            raise self._too_few(part, -pieces)
        whole(after, tr("The number of pieces"), 0, MOST_PIECES)
        now = self._clock()
        stage, entry, trial = at
        self._add(
            tables.part_move,
            part_id=part.id,
            what=what,
            pieces=pieces,
            job_id=job_id,
            stage=stage,
            entry=entry,
            trial=trial,
            person=self._hand.person,
            at=to_time_text(now, now),
            reason=note(reason, tr("The reason")).strip(),
        )
        if pieces:
            self._change(tables.part, part.id, count=after)

    def _too_few(self, part: Part, wanted: int) -> RuleError:
        if part.count:
            return RuleError(
                tr("Only {count} of {piece} lie in the drawer.", count=part.count, piece=part.called),
                tr("Take fewer, or receive what came in first."),
            )
        taken = [move for move in self._moves(tables.part_move.c.part_id == part.id) if move.pieces < 0]
        if taken and taken[-1].job_id is not None:
            return ConflictError(
                tr(
                    "No {piece} is left: {name} took the last one for job {number}.",
                    piece=part.called,
                    name=taken[-1].person or tr("somebody"),
                    number=taken[-1].job_number,
                ),
                tr("Choose another piece, or bring that one back first."),
            )
        return RuleError(
            tr("No {piece} is left in the drawer.", piece=part.called),
            tr("Choose another piece, or receive what came in first."),
        )
