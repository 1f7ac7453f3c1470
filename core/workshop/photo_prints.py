"""The print read from photos of painted teeth, and kept as the outline of a trial or of the unit as found."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from core.errors import InputError, RuleError
from core.facts import Photo
from core.language import tr
from core.mechanics.outline import Point, Ring
from core.outlines import write_outline
from core.stages import contact_pattern, teardown
from core.stages.prints import OUTLINE
from core.stages.tooth import COAST, DRIVE, Tooth, tooth_of
from core.tooth_photo import MeanReading, Scatter, ToothReading, averaged, read_tooth, rings_in_photo
from core.workshop.bench import Bench

SOURCE = "photo"
"""How a reading came in that was read from a photo."""
MOST_TEETH = 12
"""So many teeth are averaged at most: a ring gear has no more that tell something new."""
_PREFIX = {contact_pattern.KEY: "", teardown.KEY: "contact_"}
"""What the entries of a print begin with in the stages that ask for one."""


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


@dataclass(frozen=True)
class TeethRead:
    """The same flank of one tooth or several, each read from a photo, and their mean."""

    teeth: tuple[PhotoPrint, ...]
    mean: MeanReading

    @property
    def outline(self) -> tuple[Ring, ...]:
        """The outline that is kept: a single tooth's own, or the mean of several."""
        return self.teeth[0].reading.outline if len(self.teeth) == 1 else self.mean.outline

    @property
    def reason(self) -> str:
        """Say where the outline comes from, tooth by tooth, and how far the teeth scatter."""
        each = ". ".join(tooth.reason for tooth in self.teeth)
        if self.mean.scatter is None:
            return each
        told = tr(
            "Mean of {count} teeth, tooth to tooth {scatter}",
            count=len(self.teeth),
            scatter=scatter_words(self.mean.scatter),
        )
        return f"{told}. {each}"


def scatter_words(scatter: Scatter) -> str:
    """Say how far the centre scatters from tooth to tooth (standard deviation).

    Examples
    --------
    >>> scatter_words(Scatter(0.012, 0.02, (0.01, 0.01), (0.02, 0.02), 0.01, 1.0))
    '± 1.2 % along, ± 2.0 % up'
    """
    return tr(
        "± {along} % along, ± {depth} % up",
        along=f"{100 * scatter.along_ratio:.1f}",
        depth=f"{100 * scatter.depth_ratio:.1f}",
    )


def together(teeth: Sequence[PhotoPrint]) -> TeethRead:
    """Return the mean of what was read from the same flank of one tooth or several.

    Raises
    ------
    InputError
        The same tooth was read twice, there are too many, or they have no mean.
    """
    if len(teeth) > MOST_TEETH:
        raise InputError(tr("{most} teeth are read.", most=MOST_TEETH), tr("Keep their mean: more tell nothing new."))
    for at, tooth in enumerate(teeth):
        if any(_is_same_tooth(tooth, other) for other in teeth[:at]):
            raise InputError(
                tr("This tooth was read already."), tr("Mark another tooth, or turn to the photo of another one.")
            )
    return TeethRead(tuple(teeth), averaged([tooth.reading for tooth in teeth]))


def _is_same_tooth(one: PhotoPrint, other: PhotoPrint) -> bool:
    """Return whether two readings are of one tooth: in one photo, and less than half a flank's depth apart."""
    places = [np.array(each.corners) for each in (one, other)]
    depth = min(float(np.hypot(*(corners[3] - corners[0]))) for corners in places)
    apart = float(np.hypot(*(places[1] - places[0]).mean(axis=0)))
    return one.photo.id == other.photo.id and apart < 0.5 * depth


class PhotoPrints(Bench):
    """What can be done with a photo of the painted tooth."""

    def read_print(self, photo_id: int, corners: Sequence[Point]) -> PhotoPrint:
        """Read the print on the flank a photo shows; nothing is written.

        Parameters
        ----------
        photo_id : int
            The photo.
        corners : sequence of (float, float)
            Toe at the root, heel at the root, heel at the tip and toe at the tip of the flank [px].

        Raises
        ------
        RuleError
            The photo was struck, or belongs to a stage without a contact print.
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
        self, job_id: int, flank: str, trial: int, found: TeethRead, *, person: str = "", seen: int | None = None
    ) -> None:
        """Keep what was read as the print of a flank, drive or coast, in one trial; its numbers follow.

        It belongs to the stage of the photos: a trial of the contact stage, or the unit as found (trial 0). Photos,
        confidences, corners and scatter are kept as the reason of the reading. `seen` is as for `record`.

        Raises
        ------
        RuleError
            A photo is another job's or was struck meanwhile, photos of two stages are mixed, or the job is signed.
        UserError
            The outline is refused by the rules of every outline; nothing is written then.
        """
        with self._logbook.look() as work:
            photos = [work.photo(tooth.photo.id) for tooth in found.teeth]
        for photo in photos:
            _need_readable(photo)
            if photo.job_id != job_id:
                raise RuleError(tr("This photo belongs to another job."), tr("Add it to this job, and read it there."))
        if len({photo.stage for photo in photos}) > 1:
            raise RuleError(tr("These photos belong to different stages."), tr("Take the mean of photos of one stage."))
        stage = photos[0].stage
        self.record(
            job_id,
            stage,
            outline_key(stage, flank),
            write_outline(found.outline),
            trial=trial,
            person=person,
            reason=found.reason,
            source=SOURCE,
            seen=seen,
        )


def outline_key(stage: str, flank: str) -> str:
    """Return the key of the outline of a flank, drive or coast, in a stage that asks for a contact print."""
    return _PREFIX[stage] + flank + OUTLINE


def flank_shown(photo: Photo) -> str:
    """Return the flank a photo is known to show by the reading it belongs to, drive or coast; "" where it is not."""
    entry = photo.entry.removeprefix(_PREFIX.get(photo.stage, ""))
    return next((flank for flank in (DRIVE, COAST) if entry.startswith(flank)), "")


def taper_of(tooth: Tooth) -> float:
    """Return the depth of a tooth at the toe over that at the heel; it grows evenly from one to the other.

    Examples
    --------
    >>> round(taper_of(Tooth(toe_share=0.8)), 3)
    0.667
    """
    return tooth.toe_share / (2.0 - tooth.toe_share)


def is_readable(photo: Photo) -> bool:
    """Return whether a print may be read from a photo: its stage asks for one, and it counts."""
    return photo.stage in _PREFIX and photo.struck_at is None


def others_to_read(photos: Iterable[Photo], photo: Photo, trial: int, flank: str) -> list[Photo]:
    """Return the photos the same flank may be read from in this trial, the photo itself among them, in their order."""
    return [
        other
        for other in photos
        if other.id == photo.id
        or (
            is_readable(other)
            and other.stage == photo.stage
            and other.trial in (0, trial)
            and (not flank or flank_shown(other) in ("", flank))
        )
    ]


def _need_readable(photo: Photo) -> None:
    if photo.struck_at is not None:
        raise RuleError(tr("Photo {photo} was struck.", photo=photo.id), tr("Read another one."))
    if not is_readable(photo):
        raise RuleError(
            tr("This photo belongs to a stage without a contact print."),
            tr("Add it to the teardown or to the contact stage, and read it there."),
        )
