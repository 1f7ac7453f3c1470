"""Photos of a job."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from core import stages
from core.facts import Photo
from core.records import Work
from core.shop_inputs import words
from core.workshop.base import Base, context_of

if TYPE_CHECKING:
    from core.photos import PrintedPhoto

LONGEST_PRINTED = 1000
"""Longest side of a photo on paper [px]: about 300 dots an inch at the size it is printed."""


class Photos(Base):
    """What can be done with photos."""

    def add_photo(
        self,
        job_id: int,
        source: bytes | Path,
        *,
        stage: str,
        entry: str = "",
        position: str = "",
        trial: int = 0,
        caption: str = "",
        person: str = "",
    ) -> Photo:
        """Keep a picture file as a photo of a stage, or of an entry and the reading that stands there.

        Raises
        ------
        UserError
            The file is no picture that can be kept, the job has it already or is signed; nothing is written then.
        """
        # What opens pictures takes a while to load; a window or a reading should not wait for it.
        from core.photos import prepare

        declared = stages.stage(stage)
        if entry:
            declared.entry(entry).position(position)
        # Nobody waits for the logbook while a large picture is made small.
        prepared = prepare(source)
        with self._working("add_photo", person) as work:
            reading = context_of(work, job_id).reading(stage, entry, position, trial) if entry else None
            photo = work.add_photo(
                job_id,
                stage,
                entry,
                position,
                trial,
                None if reading is None else reading.id,
                words(caption),
                prepared,
                person,
                self._clock(),
            )
            work.commit()
        return photo

    def strike_photo(self, photo_id: int, *, reason: str, person: str = "") -> Photo:
        """Say why a photo does not count; it stays to be seen."""
        with self._working("strike_photo", person) as work:
            photo = work.strike_photo(photo_id, words(reason), person, self._clock())
            work.commit()
        return photo

    def photos(self, job_id: int) -> list[Photo]:
        """Return every photo of a job, struck ones included, in the order they were added."""
        with self._logbook.look() as work:
            return work.photos(job_id)

    def unit_photos(self, serial: str) -> list[Photo]:
        """Return every photo of every visit of one unit, oldest first."""
        with self._logbook.look() as work:
            return work.unit_photos(serial)

    def photo_image(self, photo_id: int) -> bytes:
        """Return a photo itself, as a JPEG."""
        with self._logbook.look() as work:
            return work.photo_image(photo_id)

    def thumbnails(self, photo_ids: list[int]) -> dict[int, bytes]:
        """Return the thumbnails of some photos, as JPEGs by the photo's id."""
        with self._logbook.look() as work:
            return {photo_id: work.thumbnail(photo_id) for photo_id in photo_ids}


def printed_photos(work: Work, job_id: int) -> list[PrintedPhoto]:
    """Return the photos of a job as they go on paper; one large picture is in memory at a time."""
    from core.photos import PrintedPhoto, rendition

    return [
        PrintedPhoto(photo, b"" if photo.struck_at else rendition(work.photo_image(photo.id), LONGEST_PRINTED))
        for photo in work.photos(job_id)
    ]
