"""The photos of a stage: two a row in true proportions, each with its caption, who took it and when."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from reportlab import rl_config
from reportlab.lib.utils import ImageReader
from reportlab.platypus import CondPageBreak, Flowable, Spacer

from core.facts import Photo
from core.language import tr
from core.photos import PrintedPhoto
from core.sheet.flow import bare, table
from core.sheet.footnotes import Footnotes
from core.sheet.parts import Parts
from core.sheet.style import GRID, STYLES
from core.sheet.text import Span, shortened
from core.sheet.values import day_and_time
from core.stages.entry import Stage
from core.stages.state import StageState

# Photos written as letters instead of bytes would take a fourth more room, and a second for every seven of them.
rl_config.useA85 = 0

A_ROW = 2
TALLEST = 190.0
"""Height of a photo at most [pt]; one higher than it is wide would otherwise fill the page."""
LEAST_ROOM = 90.0
LONGEST_NAME = 40


class _Jpeg(ImageReader):  # type: ignore[misc]
    """A JPEG on its way into the file as it is: decoding forty of them would only take memory."""

    _dataA = None  # noqa: N815 - reportlab's name

    def __init__(self, jpeg: bytes) -> None:
        self._jpeg = jpeg

    def getRGBData(self) -> bytes:  # noqa: N802 - reportlab's name
        """Return what one picture is told from another by."""
        return self._jpeg

    def jpeg_fh(self) -> BytesIO:
        """Return the file as it is."""
        return BytesIO(self._jpeg)


class Picture(Flowable):  # type: ignore[misc]
    """A JPEG of a given size on the page."""

    def __init__(self, jpeg: bytes, size: tuple[float, float]) -> None:
        super().__init__()
        self._jpeg = jpeg
        self.width, self.height = size

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Return the room it takes [pt]."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it."""
        self.canv.drawImage(_Jpeg(self._jpeg), 0, 0, self.width, self.height)


def stage_photos(parts: Parts, stage: StageState, notes: Footnotes) -> list[Flowable]:
    """Return the photos of one stage; struck ones are only named, in the footnotes."""
    here = [printed for printed in parts.photos if printed.photo.stage == stage.stage.key]
    if not here:
        return []
    struck = [notes.add(_struck(parts, printed.photo)) for printed in here if printed.photo.struck_at]
    heading = parts.type.paragraph(STYLES.subheading, tr("Photos"), *_apart(struck))
    shown = [printed for printed in here if not printed.photo.struck_at]
    rows = [shown[at : at + A_ROW] for at in range(0, len(shown), A_ROW)]
    # The heading stays with its first row, and no row is cut by the end of a page.
    least = _row_height(parts, rows[0]) + LEAST_ROOM if rows else LEAST_ROOM
    return [CondPageBreak(least), heading, *(_row(parts, stage.stage, row, notes) for row in rows)]


def _apart(numbers: Sequence[Span]) -> list[str | Span]:
    """Return raised numbers with a space before each, so that 1 and 2 are not read as 12."""
    return [part for number in numbers for part in (" ", number)]


def _column(parts: Parts) -> float:
    return parts.width / A_ROW


def _size(parts: Parts, photo: Photo) -> tuple[float, float]:
    """Return how large a photo is printed [pt]: as wide as its column, in its own proportions."""
    share = min((_column(parts) - 2 * GRID) / photo.width, TALLEST / photo.height)
    return photo.width * share, photo.height * share


def _row_height(parts: Parts, row: Sequence[PrintedPhoto]) -> float:
    return max(_size(parts, printed.photo)[1] for printed in row)


def _row(parts: Parts, stage: Stage, row: Sequence[PrintedPhoto], notes: Footnotes) -> Flowable:
    cells = [_cell(parts, stage, printed, notes) for printed in row]
    return table([cells], [_column(parts)] * len(cells), is_lined=False, padding=GRID / 2)


def _cell(parts: Parts, stage: Stage, printed: PrintedPhoto, notes: Footnotes) -> Flowable:
    photo = printed.photo
    words = [part for part in (place_words(stage, photo), *_by(photo)) if part]
    found: list[Flowable] = [Picture(printed.image, _size(parts, photo)), Spacer(0, GRID / 3)]
    if photo.caption:
        found.append(parts.type.paragraph(STYLES.small, *notes.cut(photo.caption)))
    found.append(parts.type.paragraph(STYLES.quiet, " · ".join(words)))
    return bare(found, _column(parts) - 2 * GRID)


def _by(photo: Photo) -> tuple[str, str]:
    return shortened(photo.person, LONGEST_NAME), day_and_time(photo.at)


def place_words(stage: Stage, photo: Photo) -> str:
    """Return what a photo shows in a stage: the entry, its place and its trial, "" for the stage itself."""
    entry = next((entry for entry in stage.entries if entry.key == photo.entry), None)
    if entry is None:
        return photo.entry
    place = next((tr(position.label) for position in entry.positions if position.key == photo.position), "")
    trial = tr("trial {trial}", trial=photo.trial) if photo.trial else ""
    return ", ".join(part for part in (tr(entry.label), place, trial) if part)


def _struck(parts: Parts, photo: Photo) -> str:
    """Return what stands for a photo that does not count."""
    name, moment = _by(photo)
    of = tr("Photo “{caption}”", caption=photo.caption) if photo.caption else tr("Photo")
    when = "" if photo.struck_at is None else day_and_time(photo.struck_at)
    return tr(
        "{photo} ({added}) was struck ({struck}): {reason}",
        photo=of,
        added=", ".join(part for part in (name, moment) if part),
        struck=", ".join(part for part in (shortened(photo.struck_by, LONGEST_NAME), when) if part),
        reason=photo.strike_reason,
    )
