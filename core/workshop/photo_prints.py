"""The print read from a photo of the painted tooth, and kept as the outline of a trial."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.errors import RuleError
from core.facts import Photo
from core.language import tr
from core.mechanics.outline import Point, Ring
from core.outlines import write_outline
from core.stages import contact_pattern
from core.stages.prints import OUTLINE
from core.stages.tooth import Tooth, tooth_of
from core.tooth_photo import ToothReading, read_tooth, rings_in_photo
from core.workshop.bench import Bench

SOURCE = "photo"
"""How a reading came in that was read from a photo."""
LEAST_TAPER = 0.4
"""Depth at the toe over depth at the heel below which no photo is read."""


@dataclass(frozen=True)
class PhotoPrint:
    """What was read from a photo, the corners it was read with [px], and where in the photo its outline lies [px]."""

    photo: Photo
    corners: tuple[Point, ...]
    reading: ToothReading
    in_photo: tuple[Ring, ...]

    @property
    def reason(self) -> str:
        """Say where the outline comes from, so that it can be read again."""
        return tr(
            "Read from photo {photo}; confidence {confidence} %; corners {corners}",
            photo=self.photo.id,
            confidence=f"{100 * self.reading.confidence:.0f}",
            corners="; ".join(f"{x:.0f} {y:.0f}" for x, y in self.corners),
        )


class PhotoPrints(Bench):
    """What can be done with a photo of the painted tooth."""

    def read_print(self, photo_id: int, corners: Sequence[Point]) -> PhotoPrint:
        """Read the print on the flank a photo of the contact stage shows; nothing is written.

        Parameters
        ----------
        photo_id : int
            The photo.
        corners : sequence of (float, float)
            Toe at the root, heel at the root, heel at the tip and toe at the tip of the flank [px].

        Raises
        ------
        RuleError
            The photo was struck, or belongs to another stage.
        InputError
            No print can be read with these corners; the sentence says what to do.
        NotFoundError
            There is no such photo.
        """
        with self._logbook.look() as work:
            photo = work.photo(photo_id)
            _need_readable(photo)
            image, tooth = work.photo_image(photo_id), tooth_of(work.job(photo.job_id))
        # Nobody waits for the logbook while a photo is read.
        taper = taper_of(tooth)
        reading = read_tooth(image, corners, toe_to_heel_depth_ratio=taper, length_to_depth_ratio=tooth.proportion)
        laid = rings_in_photo(reading, corners, toe_to_heel_depth_ratio=taper)
        return PhotoPrint(photo, tuple((float(x), float(y)) for x, y in corners), reading, laid)

    def keep_print(
        self, job_id: int, flank: str, trial: int, found: PhotoPrint, *, person: str = "", seen: int | None = None
    ) -> None:
        """Keep the outline that was read as the print of a flank, drive or coast, in one trial; its numbers follow.

        Photo, confidence and corners are kept as the reason of the reading. `seen` is as for `record`.

        Raises
        ------
        RuleError
            The photo is another job's or was struck meanwhile, or the job is signed.
        UserError
            The outline is refused by the rules of every outline; nothing is written then.
        """
        with self._logbook.look() as work:
            photo = work.photo(found.photo.id)
        _need_readable(photo)
        if photo.job_id != job_id:
            raise RuleError(tr("This photo belongs to another job."), tr("Add it to this job, and read it there."))
        self.record(
            job_id,
            contact_pattern.KEY,
            flank + OUTLINE,
            write_outline(found.reading.outline),
            trial=trial,
            person=person,
            reason=found.reason,
            source=SOURCE,
            seen=seen,
        )


def taper_of(tooth: Tooth) -> float:
    """Return the depth of a tooth at the toe over that at the heel; it grows evenly from one to the other.

    Examples
    --------
    >>> round(taper_of(Tooth(toe_share=0.8)), 3)
    0.667
    """
    return max(tooth.toe_share / (2.0 - tooth.toe_share), LEAST_TAPER)


def is_readable(photo: Photo) -> bool:
    """Return whether a print may be read from a photo: it belongs to the contact stage and counts."""
    return photo.stage == contact_pattern.KEY and photo.struck_at is None


def _need_readable(photo: Photo) -> None:
    if photo.struck_at is not None:
        raise RuleError(tr("This photo was struck."), tr("Read another one."))
    if not is_readable(photo):
        raise RuleError(tr("This photo does not belong to the contact stage."), tr("Add it there, and read it there."))
