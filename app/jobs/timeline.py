"""The history of one unit: its visits along a line, the newest on top, each as found beside as left."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from app.jobs.form import button
from app.jobs.visits import Visit
from app.theme import GRID, current
from app.widgets.sentences import words
from core.language import tr

GUTTER = 32
SPINE = 3
TICK = 5
NOT_MEASURED = "–"


class Timeline(QScrollArea):
    """All visits of the chosen unit."""

    job_wanted = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.visits: tuple[Visit, ...] = ()
        self.show_visits((), 0)

    def show_visits(self, visits: Sequence[Visit], chosen: int) -> None:
        """Show these visits, newest first; `chosen` is the job whose tick is broad."""
        self.visits = tuple(visits)
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for at, visit in enumerate(visits):
            is_last = at == len(visits) - 1
            panel = VisitPanel(visit, is_chosen=visit.job_id == chosen, is_first=at == 0, is_last=is_last)
            panel.job_wanted.connect(self.job_wanted)
            column.addWidget(panel)
        column.addStretch(1)
        self.setWidget(page)


class VisitPanel(QWidget):
    """One visit: its tick on the line, number and dates, what was asked for, three values, who signed."""

    job_wanted = Signal(int)

    def __init__(self, visit: Visit, *, is_chosen: bool, is_first: bool, is_last: bool) -> None:
        super().__init__()
        self._visit = visit
        self._is_chosen = is_chosen
        self._has_above = not is_first
        self._has_below = not is_last
        self.heading = button(tr("Job {number}", number=visit.number), "plain")
        self.heading.setAccessibleName(tr("Open job {number}", number=visit.number))
        self.heading.setAccessibleDescription(visit.in_words)
        self.heading.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.heading.clicked.connect(self._want)
        column = QVBoxLayout(self)
        column.setContentsMargins(GUTTER, 0, 0, 3 * GRID)
        column.setSpacing(GRID // 2)
        column.addWidget(self.heading)
        # Level with the words of the heading, which is a button and has room around them.
        below = QVBoxLayout()
        below.setContentsMargins(current().px(GRID) + 1, 0, 0, 0)
        below.setSpacing(GRID // 2)
        below.addWidget(words(visit.dates, "quiet"))
        if visit.since:
            below.addWidget(words(visit.since, "quiet"))
        if visit.asked_for:
            below.addWidget(words(visit.asked_for))
        below.addLayout(self._values())
        below.addWidget(words(visit.signed, "quiet"))
        column.addLayout(below)

    def _values(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setContentsMargins(0, GRID // 2, 0, GRID // 2)
        grid.setHorizontalSpacing(2 * GRID)
        grid.setVerticalSpacing(GRID // 2)
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        for column, title in enumerate((tr("found"), tr("left")), start=1):
            grid.addWidget(words(title, "quiet"), 0, column, right)
            # Both columns as wide on every visit, so that the eye compares down the line.
            grid.setColumnMinimumWidth(column, self.fontMetrics().horizontalAdvance("00.000 lbf·in"))
        for row, line in enumerate(self._visit.compared, start=1):
            grid.addWidget(words(line.label, "quiet"), row, 0)
            grid.addWidget(words(line.found or NOT_MEASURED, wraps=False), row, 1, right)
            grid.addWidget(words(line.left or NOT_MEASURED, wraps=False), row, 2, right)
        grid.setColumnStretch(3, 1)
        return grid

    def _want(self) -> None:
        self.job_wanted.emit(self._visit.job_id)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw this visit's stretch of the line and its tick, broad for the chosen job.

        Discs and rings would be taken for verdicts.
        """
        painter = QPainter(self)
        palette = self.palette()
        y = self.heading.geometry().center().y()
        painter.setPen(QPen(palette.placeholderText().color(), 1))
        painter.drawLine(SPINE, 0 if self._has_above else y, SPINE, self.height() if self._has_below else y)
        width, colour = (TICK, palette.highlight()) if self._is_chosen else (1, palette.placeholderText())
        painter.fillRect(SPINE, y - width // 2, GUTTER - SPINE - GRID, width, colour)
