"""Handing out and taking in: archives, and flat tables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from core.errors import InputError, NotFoundError
from core.exchange import flat
from core.exchange.answer import Taken
from core.exchange.form import EVERYTHING, JOB, UNIT, sheet_names, unusable
from core.facts import JobEvent, Shop
from core.language import mark, tr
from core.records import Work
from core.records.exchange_verbs import IMPORT
from core.shop_inputs import printable
from core.stages import evaluate_job
from core.stages.context import Context
from core.workshop.base import Base, context_of
from core.workshop.photos import printed_photos

if TYPE_CHECKING:
    from core.exchange.read import Archive

TABLES = {
    "readings": mark("readings"),
    "jobs": mark("jobs"),
    "parts": mark("drawer"),
    "moves": mark("moves of the drawer"),
    "gauges": mark("gauges"),
}
"""The flat tables that can be handed out, and what they are called."""


class Exchange(Base):
    """What can be handed out to another shop, and taken in from one."""

    # -- handing out -----------------------------------------------------------------------------------------------

    def export_archive(self, path: Path, *, job: str = "", unit: str = "", page: str = "A4") -> Path:
        """Write one job, every visit of one unit, or everything, as an archive.

        Parameters
        ----------
        path : Path
            The file to write; nothing may be there yet. It appears whole and read back, or not at all.
        job, unit : str
            A job number or a serial number; neither for everything.
        page : str
            Paper of the build sheets in it: ``A4`` or ``Letter``.

        Raises
        ------
        NotFoundError
            There is no such job or unit.
        UserError
            It cannot be written there, or something is there already.
        """
        # Packing and typesetting take a while to load; a window or a reading should not wait for it.
        from core.exchange.write import Contents, write_archive

        made_at = self._clock()
        with self._logbook.look() as work:
            scope, about, chosen = _chosen(work, job, unit)
            told = work.exported(chosen) | {"scope": scope}
            ids = work.jobs_known_as(one["uid"] for one in told["jobs"])
            handed = [(context_of(work, job_id), work.events(job_id)) for job_id in ids]
            shop, head = work.shop(), work.head()
        names = sheet_names(told["jobs"])
        contents = Contents(
            told,
            about,
            shop.name,
            head,
            made_at,
            photos=[photo["uid"] for one in told["jobs"] for photo in one["photos"]],
            photo=self._exported_photo,
            # Judged and set one at a time: all of them at once would not fit a small machine.
            sheets={
                names[one.job.uid]: partial(self._sheet, one, events, shop, page, made_at) for one, events in handed
            },
            tables={f"csv/{name}.csv": _table(name, told, [one for one, _ in handed]) for name in TABLES},
        )
        return write_archive(path, contents)

    def readings_csv(self, job_id: int) -> str:
        """Return every reading of a job, superseded ones included, as CSV with a header."""
        with self._logbook.look() as work:
            return flat.readings_csv(context_of(work, job_id))

    def export_table(self, path: Path, table: str, *, job: str = "", unit: str = "") -> Path:
        """Write one of `TABLES` as CSV; parameters and refusals as for `export_archive`."""
        from core.exchange.write import write_text

        return write_text(path, self.table_csv(table, job=job, unit=unit))

    def table_csv(self, table: str, *, job: str = "", unit: str = "") -> str:
        """Return one of `TABLES` of one job, of every visit of one unit, or of everything, as CSV.

        Raises
        ------
        InputError
            There is no such table.
        NotFoundError
            There is no such job or unit.
        """
        if table not in TABLES:
            raise InputError(
                tr("There is no table {table}.", table=table[:40]),
                tr("Choose one of {names}.", names=", ".join(TABLES)),
            )
        with self._logbook.look() as work:
            told = work.exported(_chosen(work, job, unit)[2])
            ids = work.jobs_known_as(one["uid"] for one in told["jobs"]) if table in ("readings", "jobs") else []
            contexts = [context_of(work, job_id) for job_id in ids]
        return _table(table, told, contexts)

    def _exported_photo(self, uid: str) -> bytes:
        with self._logbook.look() as work:
            return work.exported_photo(uid)

    def _sheet(self, context: Context, events: Sequence[JobEvent], shop: Shop, page: str, made_at: datetime) -> bytes:
        """Return a job's build sheet, which is not noted as issued."""
        from core.sheet import sheet_bytes

        with self._logbook.look() as work:
            photos, advised = printed_photos(work, context.job.id), work.advised_of_job(context.job.id)
        state = evaluate_job(context)
        return sheet_bytes(
            state, shop, copy="shop", page=page, events=events, made_at=made_at, photos=photos, advised=advised
        )

    # -- taking in -------------------------------------------------------------------------------------------------

    def preview_import(
        self, path: Path, person: str = "", *, renumber: bool = False, skip_conflicts: bool = False
    ) -> Taken:
        """Return what `import_archive` would do; it is tried to the end, and let go."""
        return self._take_in(path, person, renumber=renumber, skip_conflicts=skip_conflicts, is_kept=False)

    def import_archive(
        self, path: Path, person: str = "", *, renumber: bool = False, skip_conflicts: bool = False
    ) -> Taken:
        """Take an archive into the logbook: all of it, or nothing.

        What is known here already is left as it is, so that a second time changes nothing.

        Parameters
        ----------
        path : Path
            The archive.
        person : str
            Who takes it in: an owner.
        renumber : bool
            Give a job the next free number where its own is taken by another.
        skip_conflicts : bool
            Leave out what contradicts this logbook; otherwise one conflict keeps everything out.

        Returns
        -------
        Taken
            What became of each job, and every conflict; `is_kept` says whether anything was written.

        Raises
        ------
        AccessError
            `person` is not an owner.
        InputError
            It is no archive, is damaged, contradicts itself, or was made by a newer program; nothing was written.
        """
        return self._take_in(path, person, renumber=renumber, skip_conflicts=skip_conflicts, is_kept=True)

    def _take_in(self, path: Path, person: str, *, renumber: bool, skip_conflicts: bool, is_kept: bool) -> Taken:
        from core.exchange.read import Archive

        with Archive(path, self._clock()) as archive, self._working(IMPORT, person) as work:
            work.need_owner(person)
            taken = work.take_in(
                archive.logbook,
                partial(_picture, archive),
                shop=str(archive.manifest["shop"]),
                renumber=renumber,
                skip_conflicts=skip_conflicts,
            )
            if taken.changes:
                _need_judged(work, archive.logbook["jobs"])
            if is_kept and taken.changes:
                work.commit()
        return replace(taken, is_kept=is_kept and bool(taken.changes))


def _chosen(work: Work, job: str, unit: str) -> tuple[str, str, list[int] | None]:
    """Return scope, name and ids of the jobs that were asked for; None for everything."""
    if job:
        found = work.find_job(job)
        if found is None:
            raise NotFoundError(
                tr("There is no job {number} in this logbook.", number=printable(job)),
                tr("Check the number in the job list."),
            )
        return JOB, found.number, [found.id]
    if unit:
        visits = work.jobs_of_unit(unit)
        if not visits:
            raise NotFoundError(
                tr("There is no unit {serial} in this logbook.", serial=printable(unit)),
                tr("Check the serial number in the job list."),
            )
        return UNIT, visits[0].serial, [visit.id for visit in visits]
    return EVERYTHING, "", None


def _table(name: str, told: Mapping[str, Any], contexts: Sequence[Context]) -> str:
    numbers = {job["uid"]: job["number"] for job in told["jobs"]}
    made = {
        "readings": lambda: flat.readings_csv(*contexts),
        "jobs": lambda: flat.jobs_csv(contexts),
        "parts": lambda: flat.parts_csv(told["parts"]),
        "moves": lambda: flat.moves_csv(told["moves"], told["parts"], numbers),
        "gauges": lambda: flat.gauges_csv(told["gauges"]),
    }
    return made[name]()


def _picture(archive: Archive, uid: str) -> tuple[bytes, bytes]:
    from core.photos import LONGEST_THUMBNAIL, rendition

    image = archive.photo(uid)
    return image, rendition(image, LONGEST_THUMBNAIL)


def _need_judged(work: Work, jobs: Iterable[Mapping[str, Any]]) -> None:
    """Refuse what no page could show: readings never change, so a job that cannot be judged would stay so."""
    for job_id in work.jobs_known_as(job["uid"] for job in jobs):
        context = context_of(work, job_id)
        try:
            evaluate_job(context)
        except Exception as error:  # whatever the rules make of readings no bench would have let through
            raise unusable(
                tr("The readings of job {number} in the archive make no sense.", number=context.job.number)
            ) from error
