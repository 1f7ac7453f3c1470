"""A list of things as rows: one model and one view for jobs, rings, gauges, people and spec cards."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QItemSelectionModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QKeyEvent, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from app.theme import GRID, current
from core.language import tr

AnyIndex = QModelIndex | QPersistentModelIndex
ROW_PADDING = 14
WIDEST_CELL = 320
EDGE = 3
TEXT_AT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
NUMBER_AT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


@dataclass(frozen=True)
class Column:
    """One column: its marked title, what a row shows in it, and what a screen reader says instead."""

    title: str
    text: Callable[[Any], str]
    spoken: Callable[[Any], str] | None = None
    is_number: bool = False
    stretches: bool = False


class RowsModel(QAbstractTableModel):
    """Frozen things of one sort, one a row."""

    def __init__(self, columns: Sequence[Column], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.columns = tuple(columns)
        self.rows: tuple[Any, ...] = ()

    def show_rows(self, rows: Sequence[Any]) -> None:
        """Show these rows instead of the present ones."""
        self.beginResetModel()
        self.rows = tuple(rows)
        self.endResetModel()

    # A table has no rows below a cell; answering with the row count there sends views round in circles.
    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.columns)

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid():
            return None
        column, row = self.columns[index.column()], self.rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return column.text(row)
        if role == Qt.ItemDataRole.ToolTipRole:
            return (column.spoken or column.text)(row)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            words = (column.spoken or column.text)(row)
            return tr("{title}: {words}", title=tr(column.title), words=words or tr("nothing"))
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return NUMBER_AT if column.is_number else TEXT_AT
        if role == Qt.ItemDataRole.UserRole:
            return row
        return None

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if orientation != Qt.Orientation.Horizontal or not 0 <= section < len(self.columns):
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return tr(self.columns[section].title)
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return NUMBER_AT if self.columns[section].is_number else TEXT_AT
        return None


class RowDelegate(QStyledItemDelegate):
    """Draws a row as paper with a rule below; the chosen one is sunk and has an edge, in accent with the keyboard."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        self.paint_ground(painter, option, index)
        margin = current().px(GRID)
        space = option.rect.adjusted(margin, 0, -margin, 0)
        painter.setPen(QColor(current().colours.ink))
        painter.setFont(option.font)
        text = str(index.data(Qt.ItemDataRole.DisplayRole) or "").replace("\n", " ")
        painter.drawText(
            space,
            index.data(Qt.ItemDataRole.TextAlignmentRole),
            option.fontMetrics.elidedText(text, Qt.TextElideMode.ElideRight, space.width()),
        )

    def paint_ground(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        """Draw everything of a cell but what stands in it."""
        colours = current().colours
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(option.rect, QColor(colours.sunk))
            if index.column() == 0:
                # The edge tells the chosen row even where sunk and ground are one colour.
                colour = colours.accent if option.widget.hasFocus() else colours.quiet
                painter.fillRect(QRect(option.rect.topLeft(), QSize(EDGE, option.rect.height())), QColor(colour))
        painter.fillRect(option.rect.left(), option.rect.bottom(), option.rect.width(), 1, QColor(colours.line))

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        text = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        # A cell shows one line; half a character more keeps rounded widths from eliding it.
        width = option.fontMetrics.horizontalAdvance(text + ".") + 2 * current().px(GRID)
        return QSize(min(width, current().px(WIDEST_CELL)), option.fontMetrics.height() + current().px(ROW_PADDING))


class RowsView(QTableView):
    """The rows as a person goes through them: whole rows, keyboard first, Enter opens, Tab leaves."""

    opened = Signal(object)
    chosen = Signal(object)
    left_upwards = Signal()
    model_class = RowsModel

    def __init__(self, columns: Sequence[Column], name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows_model = self.model_class(columns, self)
        self.setModel(self.rows_model)
        self.setItemDelegate(RowDelegate(self))
        self.setAccessibleName(name)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setFrameShape(QTableView.Shape.NoFrame)
        self.verticalHeader().hide()
        self._lay_out_columns()
        self.selectionModel().selectionChanged.connect(self._tell_chosen)
        self.doubleClicked.connect(self._tell_opened)

    def _lay_out_columns(self) -> None:
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionsClickable(False)
        for at, column in enumerate(self.rows_model.columns):
            mode = QHeaderView.ResizeMode.Stretch if column.stretches else QHeaderView.ResizeMode.ResizeToContents
            header.setSectionResizeMode(at, mode)

    def show_rows(
        self, rows: Sequence[Any], same: Callable[[Any], Any] = lambda row: row.id, *, is_first_chosen: bool = True
    ) -> None:
        """Show these rows; the chosen one stays chosen where it is still there (`same` tells by what)."""
        before = self.current()
        self._fit_rows()
        self.rows_model.show_rows(rows)
        keys = [same(row) for row in rows]
        if before is not None and same(before) in keys:
            self.choose(keys.index(same(before)))
        elif rows and is_first_chosen:
            self.choose(0)
        elif before is not None:
            # A model that starts anew drops the selection without a word.
            self.chosen.emit(None)

    def _fit_rows(self) -> None:
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + current().px(ROW_PADDING))

    def fit_height(self, most: int) -> None:
        """Be as high as the rows there are, one at least and `most` at the most."""
        rows = self.verticalHeader().defaultSectionSize() * min(max(len(self.rows_model.rows), 1), most)
        self.setFixedHeight(rows + self.horizontalHeader().sizeHint().height() + GRID // 2)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit_rows()

    def choose(self, at: int) -> None:
        """Make one row the chosen one."""
        index = self.rows_model.index(at, 0)
        flags = QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows
        self.selectionModel().setCurrentIndex(index, flags)
        self.scrollTo(index)

    def clear_choice(self) -> None:
        """Choose nothing."""
        self.selectionModel().clear()

    def current(self) -> Any:
        """Return the chosen row's thing, or None; a row that only has the keyboard is not chosen yet."""
        chosen = self.selectionModel().selectedRows()
        return self.rows_model.rows[chosen[0].row()] if chosen else None

    def _tell_chosen(self) -> None:
        self.chosen.emit(self.current())

    def _tell_opened(self) -> None:
        self.opened.emit(self.current())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter opens, the arrow up from the first row leaves, the first arrow down chooses the first row."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._tell_opened()
        elif event.key() == Qt.Key.Key_Up and self.currentIndex().row() <= 0:
            self.left_upwards.emit()
        elif event.key() == Qt.Key.Key_Down and self.current() is None and self.rows_model.rows:
            self.choose(0)
        else:
            super().keyPressEvent(event)
