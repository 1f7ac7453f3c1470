"""Photos: bound to a place in a job, stored in the logbook, struck but never taken away."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import ColumnElement, Row, Table, select

from core.errors import InputError, RuleError
from core.facts import Photo
from core.language import tr
from core.records import tables
from core.records.hold_verbs import MOST_TRIALS
from core.records.job_verbs import JobVerbs
from core.records.texts import LONGEST_KEY, from_time_text, line, note, serial_key, to_time_text, whole
from core.records.unit_of_work import checked_id, no_such

if TYPE_CHECKING:
    from core.photos import PreparedPhoto

FACTS = [column for column in tables.photo.c if column.name not in ("image", "thumbnail")]
"""What is known of a photo without its bytes; a list of photos must not carry megabytes."""


class PhotoVerbs(JobVerbs):
    """What can be done with photos."""

    # -- reading them ----------------------------------------------------------------------------------------------

    def photos(self, job_id: int) -> list[Photo]:
        """Return every photo of a job, struck ones included, in the order they were added.

        Raises
        ------
        NotFoundError
            There is no such job.
        """
        return self._photos(tables.photo.c.job_id == self.job(job_id).id)

    def unit_photos(self, serial: str) -> list[Photo]:
        """Return every photo of every visit of one unit, oldest first, however its serial number was typed."""
        job, unit = tables.job, tables.unit
        key = serial_key(line(serial, tr("The serial number")))
        visits = select(job.c.id).join(unit, unit.c.id == job.c.unit_id).where(unit.c.serial_key == key)
        return self._photos(tables.photo.c.job_id.in_(visits))

    def photo(self, photo_id: int) -> Photo:
        """Return what is known of one photo.

        Raises
        ------
        NotFoundError
            There is no such photo.
        """
        found = self._photos(tables.photo.c.id == checked_id(photo_id, _missing()))
        if not found:
            raise no_such(_missing())
        return found[0]

    def photo_image(self, photo_id: int) -> bytes:
        """Return a photo itself, as a JPEG; NotFoundError where there is no such photo."""
        return self._bytes(tables.photo.c.image, photo_id)

    def thumbnail(self, photo_id: int) -> bytes:
        """Return a photo's thumbnail, as a JPEG; NotFoundError where there is no such photo."""
        return self._bytes(tables.photo.c.thumbnail, photo_id)

    def _photos(self, which: ColumnElement[bool]) -> list[Photo]:
        photo, strike = tables.photo, tables.photo_strike
        struck = strike.c.reason, strike.c.person.label("struck_by"), strike.c.at.label("struck_at")
        query = select(*FACTS, *struck).outerjoin_from(photo, strike, strike.c.photo_id == photo.c.id)
        return [_photo(row) for row in self._rows(query.where(which).order_by(photo.c.id))]

    def _bytes(self, column: ColumnElement[bytes], photo_id: int) -> bytes:
        row = self._row(select(column).where(tables.photo.c.id == checked_id(photo_id, _missing())))
        if row is None:
            raise no_such(_missing())
        return bytes(row[0])

    # -- writing them ----------------------------------------------------------------------------------------------

    def add_photo(
        self,
        job_id: int,
        stage: str,
        entry: str,
        position: str,
        trial: int,
        reading_id: int | None,
        caption: str,
        prepared: PreparedPhoto,
        person: str,
        at: datetime,
    ) -> Photo:
        """Keep a photo at a place of a job.

        Parameters
        ----------
        job_id, stage, entry, position, trial : int or str
            The place; without an entry the photo belongs to the stage.
        reading_id : int or None
            The reading it shows, which must be one of this place.
        caption : str
            What is to be seen on it; may be empty.
        prepared : PreparedPhoto
            What `core.photos.prepare` made of the file.
        person : str
            Who adds it.
        at : datetime
            When, with its time zone.

        Raises
        ------
        RuleError
            The job is signed, or has this photo already.
        NotFoundError
            There is no such job, or no such reading at this place.
        InputError
            A text that cannot be kept, a time in the future.
        """
        job = self.open_job(job_id)
        place = {
            "job_id": job.id,
            "stage": line(stage, tr("The stage"), LONGEST_KEY, is_needed=True),
            "entry": line(entry, tr("The entry"), LONGEST_KEY),
            "position": line(position, tr("The position"), LONGEST_KEY),
            "trial": whole(trial, tr("The trial"), 0, MOST_TRIALS),
        }
        self._need_new(job.id, prepared.digest)
        added = self._add(
            tables.photo,
            **place,
            reading_id=self._reading_at(place, reading_id),
            caption=line(caption, tr("The caption")),
            digest=prepared.digest,
            width=prepared.width,
            height=prepared.height,
            image=prepared.image,
            thumbnail=prepared.thumbnail,
            person=line(person, tr("The name")),
            at=to_time_text(at, self._clock()),
        )
        return self.photo(added)

    def strike_photo(self, photo_id: int, reason: str, person: str, at: datetime) -> Photo:
        """Say that a photo does not count, and why; it stays to be seen, and may be added anew.

        Raises
        ------
        RuleError
            The job is signed, or the photo was struck already.
        InputError
            There is no reason, or it cannot be kept.
        NotFoundError
            There is no such photo.
        """
        photo = self.photo(photo_id)
        self.open_job(photo.job_id)
        if photo.struck_at is not None:
            raise RuleError(
                tr("The photo was struck already, by {name}.", name=photo.struck_by or tr("somebody")),
                tr("Leave it so, or add the photo anew."),
            )
        reason = note(reason, tr("The reason")).strip()
        if not reason:
            raise InputError(tr("The reason is missing."), tr("Write why the photo does not count."))
        self._add(
            tables.photo_strike,
            photo_id=photo.id,
            person=line(person, tr("The name")),
            at=to_time_text(at, self._clock()),
            reason=reason,
        )
        return self.photo(photo_id)

    def _note(self, what: str, table: Table, row: Mapping[str, Any]) -> None:
        # A strike is written down with the job of its photo, so that whoever looks at the job elsewhere sees it.
        about = {"job_id": self.photo(row["photo_id"]).job_id} if table is tables.photo_strike else {}
        super()._note(what, table, {**row, **about})

    def _need_new(self, job_id: int, digest: str) -> None:
        same = (tables.photo.c.job_id == job_id) & (tables.photo.c.digest == digest)
        standing = next((photo for photo in self._photos(same) if photo.struck_at is None), None)
        if standing is not None:
            raise RuleError(
                tr(
                    "The job has this photo already: {name} added it on {moment}.",
                    name=standing.person or tr("somebody"),
                    moment=standing.at.strftime("%Y-%m-%d %H:%M"),
                ),
                tr("Strike that one first if it belongs elsewhere."),
            )

    def _reading_at(self, place: dict[str, Any], reading_id: int | None) -> int | None:
        if reading_id is None:
            return None
        reading = tables.reading
        missing = tr("There is no such reading at this place of the job.")
        here = (reading.c[name] == value for name, value in place.items())
        if self._row(select(reading.c.id).where(reading.c.id == checked_id(reading_id, missing), *here)) is None:
            raise no_such(missing)
        return reading_id


def _missing() -> str:
    return tr("There is no such photo in this logbook.")


def _photo(row: Row[Any]) -> Photo:
    facts = {column.name: getattr(row, column.name) for column in FACTS}
    struck_at = None if row.struck_at is None else from_time_text(row.struck_at)
    return Photo(
        **facts | {"at": from_time_text(row.at)},
        strike_reason=row.reason or "",
        struck_by=row.struck_by or "",
        struck_at=struck_at,
    )
