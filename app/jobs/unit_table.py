"""What a unit was found with and left with at each visit, side by side, and what changed in between."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.jobs.rows import Column, RowsView
from app.theme import GRID
from app.widgets.sentences import say, words
from core.gauges import days_words
from core.history import UnitHistory, UnitVisit, Worth
from core.history_words import change_words, doubt_words, doubt_words_short, shown
from core.language import mark, tr


@dataclass(frozen=True)
class FollowedRow:
    """One value through all visits."""

    id: str
    worth: Worth
    history: UnitHistory
    units: str

    def found(self, at: int) -> str:
        """Return what a visit found."""
        return shown(self.history.visits[at].visit.found.get(self.id), self.units)

    def left(self, at: int) -> str:
        """Return what a visit left."""
        return shown(self.history.visits[at].visit.left.get(self.id), self.units)

    def change(self, at: int) -> str:
        """Return what changed between a visit and the one before; "" where that is not known."""
        wear = self.history.visits[at].wear.get(self.id)
        return "" if wear is None else change_words(wear, self.units)

    def doubt(self, at: int) -> str:
        """Say in two words whether the gauges can tell that anything changed."""
        wear = self.history.visits[at].wear.get(self.id)
        return "" if wear is None else doubt_words_short(wear)

    def in_words(self) -> str:
        """Return every change of this value as sentences."""
        visits = self.history.visits
        told = [self._told(before, now) for before, now in pairwise(visits)]
        return " ".join(sentence for sentence in told if sentence)

    def _told(self, before: UnitVisit, now: UnitVisit) -> str:
        wear = now.wear.get(self.id)
        if wear is None:
            return ""
        return tr(
            "{label}: job {before} left {left}, job {now} found {found}; {change} in {days}, {doubt}.",
            label=tr(self.worth.label),
            before=before.job.number,
            left=shown(wear.left, self.units),
            now=now.job.number,
            found=shown(wear.found, self.units),
            change=change_words(wear, self.units),
            days=days_words(wear.days),
            doubt=doubt_words(wear, self.units),
        )


def columns_of(history: UnitHistory) -> list[Column]:
    """Return the columns: the value, then found and left of each visit, and the change before each but the first."""
    columns = [Column(mark("Measured"), lambda row: tr(row.worth.label))]
    for at, visit in enumerate(history.visits):
        number = visit.job.number
        if at:
            columns.append(_column(tr("change to {number}", number=number), _cell(FollowedRow.change, at)))
            columns.append(Column(mark("the gauges"), _cell(FollowedRow.doubt, at)))
        columns.append(_column(tr("{number} found", number=number), _cell(FollowedRow.found, at)))
        columns.append(_column(tr("{number} left", number=number), _cell(FollowedRow.left, at)))
    return columns


def _column(title: str, text: Callable[[FollowedRow], str]) -> Column:
    return Column(title, text, is_number=True)


def _cell(told: Callable[[FollowedRow, int], str], at: int) -> Callable[[FollowedRow], str]:
    return lambda row: told(row, at)


class WholeRows(RowsView):
    """Rows that take the height of all of them, because the page around them scrolls.

    Signals
    -------
    scroll_wanted(pages)
        The page around is to be scrolled: by a page, or by half of one from the last row on.
    """

    scroll_wanted = Signal(float)

    def __init__(self, columns: list[Column], name: str, parent: QWidget | None = None) -> None:
        super().__init__(columns, name, parent)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Return the height of heads, rows and the bar below them."""
        rows = len(self.rows_model.rows) * self.verticalHeader().defaultSectionSize()
        bar = self.horizontalScrollBar().sizeHint().height()
        return QSize(super().sizeHint().width(), self.horizontalHeader().sizeHint().height() + rows + bar + 2)

    def minimumSizeHint(self) -> QSize:
        return QSize(0, self.sizeHint().height())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Scroll the page by the keys that would scroll a list; the last row's arrow down goes on into it."""
        pages = {Qt.Key.Key_PageDown: 1.0, Qt.Key.Key_PageUp: -1.0}.get(Qt.Key(event.key()), 0.0)
        if event.key() == Qt.Key.Key_Down and self.currentIndex().row() == len(self.rows_model.rows) - 1:
            pages = 0.5
        if pages:
            self.scroll_wanted.emit(pages)
        else:
            super().keyPressEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        self.updateGeometry()


class FollowedTable(QWidget):
    """The table, and under it the chosen row in a sentence.

    Signals
    -------
    row_chosen(top, bottom)
        Another row is chosen; where it stands on this widget.
    """

    row_chosen = Signal(int, int)

    def __init__(self, history: UnitHistory, units: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        rows = [FollowedRow(worth.key, worth, history, units) for worth in history.followed]
        self.rows = WholeRows(columns_of(history), tr("Found and left"))
        self.sentence = words("", "body")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GRID)
        column.addWidget(self.rows)
        column.addWidget(self.sentence)
        self.rows.chosen.connect(self._show_row)
        self.rows.setVisible(bool(rows))
        self.rows.show_rows(rows)
        if not rows:
            say(self.sentence, tr("Nothing was measured yet that is followed from visit to visit."))

    def _show_row(self, row: FollowedRow | None) -> None:
        say(self.sentence, "" if row is None else row.in_words())
        index = self.rows.currentIndex()
        if index.isValid():
            rect = self.rows.visualRect(index)
            top = self.rows.y() + self.rows.viewport().y() + rect.top()
            self.row_chosen.emit(top, top + rect.height())
