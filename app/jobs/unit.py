"""Everything a unit ever had: its visits on a time line, what was found and left, sheets, corrections, photos."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPixmap
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from app.bench.photo_view import PhotoView
from app.bench.photos import Thumbnail
from app.jobs.form import button
from app.jobs.latest import Latest, Run
from app.jobs.panes import Panes
from app.jobs.timeline import Timeline
from app.jobs.unit_table import FollowedTable
from app.jobs.visits import visit
from app.theme import GRID
from app.widgets.flow import FlowLayout
from app.widgets.sentences import words
from core.facts import Photo
from core.history import UnitHistory, UnitVisit
from core.history_words import card_words, change_lines, count_words, part_words, photo_words, sheet_words
from core.language import mark, tr
from core.workshop import Workshop

LEAST_DIGITS = 150
HOW_TO_READ = mark(
    "A change is what was found less what was left at the visit before; the gauges of both readings can tell the two "
    "apart, or not. Choose a row to read it in full."
)


@dataclass(frozen=True)
class Known:
    """What the page shows of a unit: its history, the shop's units, and the thumbnails by the photo's id."""

    history: UnitHistory
    units: str
    thumbnails: Mapping[int, bytes]


class UnitPage(QWidget):
    """The page of one unit.

    Signals
    -------
    job_wanted(job_id)
        One of its jobs is to be opened.
    back_wanted()
        The person goes back to the list of jobs.
    """

    job_wanted = Signal(int)
    back_wanted = Signal()

    def __init__(self, workshop: Workshop, run: Run, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._asked = Latest(run)
        self._job_id = 0
        self._known: Known | None = None
        self._photos: list[Photo] = []
        self._seen: Photo | None = None
        self.back = button(tr("All jobs"), "plain")
        self.title = words("", "title", wraps=False)
        self.timeline = Timeline()
        self.area = UnitArea(self._open_photo)
        self.view = PhotoView(self)
        self.view.back.setText(tr("Back to the unit"))
        self._lay_out()
        self.back.clicked.connect(self.back_wanted)
        self.timeline.job_wanted.connect(self.job_wanted)
        self.view.closed.connect(self._close_photo)
        self.view.step_wanted.connect(self._step)

    def _lay_out(self) -> None:
        self.top = QWidget()
        top = QHBoxLayout(self.top)
        top.setContentsMargins(0, 0, 0, 0)
        top.setSpacing(2 * GRID)
        top.addWidget(self.back)
        top.addWidget(self.title, 1)
        # What is known stands first, so that it has the room; the line of visits says where in time that is.
        self.panes = Panes(self.timeline, self.area, LEAST_DIGITS, wide=(2, 5), narrow=(2, 3))
        self._stack = QStackedWidget()
        self._stack.addWidget(self.panes)
        self._stack.addWidget(self.view)
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, 2 * GRID, 3 * GRID, 2 * GRID)
        page.setSpacing(2 * GRID)
        page.addWidget(self.top)
        page.addWidget(self._stack, 1)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape goes back to the jobs."""
        if event.key() == Qt.Key.Key_Escape:
            self.back_wanted.emit()
        else:
            super().keyPressEvent(event)

    # -- showing -------------------------------------------------------------------------------------------------

    def show_unit_of(self, job_id: int) -> None:
        """Show the unit a job is about."""
        if job_id != self._job_id:
            self._close_photo()
            self._known = None
            self.area.show_nothing(tr("Looking through the logbook …"))
            self.title.setText("")
            self.timeline.show_visits((), 0)
        self._job_id = job_id
        self.refresh()

    def refresh(self) -> None:
        """Show it as it is now."""
        if self._job_id:
            job_id = self._job_id
            self._asked.ask(lambda: self._look(job_id), self._show)

    def _look(self, job_id: int) -> Known:
        """Collect what the page shows; runs off the window's thread."""
        history = self._workshop.history_of_job(job_id)
        photos = [photo.id for one in history.visits for photo in one.photos]
        thumbnails = self._workshop.thumbnails(photos) if photos else {}
        return Known(history, self._workshop.shop().units, thumbnails)

    def _show(self, known: Known) -> None:
        if self._known == known:
            return
        had_focus = self._known is None or self.area.isAncestorOf(self.focusWidget() or self)
        self._known = known
        self._photos = [photo for one in known.history.visits for photo in one.photos]
        self.title.setText(count_words(known.history))
        self.timeline.show_visits([visit(one, known.units) for one in known.history.visits[::-1]], self._job_id)
        self.area.show_known(known)
        if had_focus and self._seen is None:
            self.area.focus_first()

    # -- photos --------------------------------------------------------------------------------------------------

    def _open_photo(self, photo_id: int) -> None:
        self._seen = next(photo for photo in self._photos if photo.id == photo_id)
        self._show_photo(self._seen)
        self._stack.setCurrentWidget(self.view)
        self.view.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_photo(self, photo: Photo) -> None:
        number = self._number_of(photo)
        name = tr("Job {number}: {photo}", number=number, photo=photo_words(photo))
        facts = " · ".join(
            part for part in (tr("Job {number}", number=number), photo.person, photo_words(photo)) if part
        )
        self.view.show_photo(photo, pixmap(self._workshop.photo_image(photo.id)), name, facts)
        struck = tr("Struck: {reason}", reason=photo.strike_reason) if photo.struck_at is not None else ""
        self.view.show_strike(struck, may_strike=False)
        self.view.show_place(self._photos.index(photo), len(self._photos))

    def _number_of(self, photo: Photo) -> str:
        visits = self._known.history.visits if self._known is not None else ()
        return next((one.job.number for one in visits if one.job.id == photo.job_id), "")

    def _step(self, step: int) -> None:
        if self._seen is not None:
            at = min(max(self._photos.index(self._seen) + step, 0), len(self._photos) - 1)
            self._seen = self._photos[at]
            self._show_photo(self._seen)

    def _close_photo(self) -> None:
        if self._seen is None:
            return
        seen, self._seen = self._seen, None
        self._stack.setCurrentWidget(self.panes)
        self.area.focus_photo(seen.id)


class UnitArea(QScrollArea):
    """What is known of the unit, from top to bottom."""

    def __init__(self, open_photo: Callable[[int], None], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._open_photo = open_photo
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.table: FollowedTable | None = None
        self.thumbnails: list[Thumbnail] = []

    def show_nothing(self, sentence: str) -> None:
        """Show one sentence instead."""
        self.table, self.thumbnails = None, []
        page, column = _paper()
        column.addWidget(words(sentence, "quiet"))
        column.addStretch(1)
        self.setWidget(page)

    def show_known(self, known: Known) -> None:
        """Show all sections that hold something."""
        page, column = _paper()
        self.table = FollowedTable(known.history, known.units)
        column.addWidget(words(tr("Found and left"), "heading"))
        if len(known.history.visits) > 1:
            column.addWidget(words(tr(HOW_TO_READ), "quiet"))
        column.addWidget(self.table)
        for heading, lines in sections(known.history):
            column.addSpacing(GRID)
            column.addWidget(words(heading, "heading"))
            for line in lines:
                column.addWidget(words(line))
        self._add_photos(column, known)
        column.addStretch(1)
        self.setWidget(page)
        self.table.row_chosen.connect(self._keep_in_sight)
        self.table.rows.scroll_wanted.connect(self._scroll)

    def _add_photos(self, column: QVBoxLayout, known: Known) -> None:
        self.thumbnails = []
        for one in known.history.visits:
            if not one.photos:
                continue
            column.addSpacing(GRID)
            column.addWidget(words(tr("Photos of job {number}", number=one.job.number), "heading"))
            strip = QWidget()
            policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
            policy.setHeightForWidth(True)
            strip.setSizePolicy(policy)
            row = FlowLayout(strip)
            for photo in one.photos:
                row.addWidget(self._thumbnail(photo, one, known.thumbnails.get(photo.id, b"")))
            column.addWidget(strip)

    def _thumbnail(self, photo: Photo, one: UnitVisit, jpeg: bytes) -> Thumbnail:
        made = Thumbnail(photo)
        number = len(self.thumbnails) + 1
        name = tr("Photo {count}, job {number}: {photo}", count=number, number=one.job.number, photo=photo_words(photo))
        made.show_photo(photo, pixmap(jpeg), name)
        made.clicked.connect(partial(self._open_photo, photo.id))
        made.step_wanted.connect(self._step)
        self.thumbnails.append(made)
        return made

    def _step(self, thumbnail: Thumbnail, step: int) -> None:
        at = self.thumbnails.index(thumbnail) + step
        if 0 <= at < len(self.thumbnails):
            self.thumbnails[at].setFocus(Qt.FocusReason.TabFocusReason)

    def focus_first(self) -> None:
        """Give the keyboard to the table."""
        if self.table is not None and self.table.rows.isVisible():
            self.table.rows.setFocus(Qt.FocusReason.OtherFocusReason)

    def focus_photo(self, photo_id: int) -> None:
        """Give the keyboard back to a thumbnail."""
        for thumbnail in self.thumbnails:
            if thumbnail.photo.id == photo_id:
                thumbnail.setFocus(Qt.FocusReason.OtherFocusReason)

    def _keep_in_sight(self, top: int, bottom: int) -> None:
        page = self.widget()
        if self.table is not None and page is not None:
            middle = self.table.mapTo(page, QPoint(0, (top + bottom) // 2))
            self.ensureVisible(0, middle.y(), 0, bottom - top)

    def _scroll(self, pages: float) -> None:
        bar = self.verticalScrollBar()
        bar.setValue(bar.value() + round(pages * bar.pageStep()))


def sections(history: UnitHistory) -> list[tuple[str, list[str]]]:
    """Return what is known of the visits beside their values: a heading and its lines; what is empty is left out."""
    every = (
        (tr("Judged by, filled and fitted"), lambda one: [_fitted_words(one)]),
        (tr("Sheets issued"), lambda one: [sheet_words(event) for event in one.sheets]),
        (tr("Corrected, replaced, reopened"), change_lines),
    )
    found = []
    for heading, told in every:
        lines = [tr("Job {number}: {what}", number=one.job.number, what=w) for one in history.visits for w in told(one)]
        if lines:
            found.append((heading, lines))
    return found


def _fitted_words(one: UnitVisit) -> str:
    parts = [tr("spec card {card}", card=card_words(one))]
    if one.oil:
        parts.append(tr("oil {oil}", oil=", ".join(one.oil)))
    return "; ".join((*parts, *part_words(one)))


def _paper() -> tuple[QWidget, QVBoxLayout]:
    page = QWidget()
    column = QVBoxLayout(page)
    column.setContentsMargins(0, 0, GRID, 0)
    column.setSpacing(GRID)
    return page, column


def pixmap(jpeg: bytes) -> QPixmap:
    """Return a JPEG as something that can be drawn."""
    picture = QPixmap()
    picture.loadFromData(jpeg)
    return picture
