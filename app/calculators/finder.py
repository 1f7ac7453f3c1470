"""The calculations by subject, with a line to find one by any word of it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter
from PySide6.QtWidgets import QStyleOptionViewItem, QVBoxLayout, QWidget

from app.jobs.form import ENTER_KEYS, line_editor, unsaid
from app.jobs.rows import AnyIndex, Column, RowDelegate, RowsModel, RowsView
from app.theme import GRID, current
from app.widgets.sentences import say
from core.calculations import CALCULATIONS, Calculation
from core.language import mark, tr

Row = Calculation | str


def _row_words(row: Row) -> str:
    return tr(row if isinstance(row, str) else row.label)


def _row_key(row: Row) -> str:
    return row if isinstance(row, str) else row.key


def found(text: str) -> list[Calculation]:
    """Return the calculations that have every word of a text in their name, subject, inputs or results."""
    wanted = text.casefold().split()
    return [c for c in CALCULATIONS if all(word in _all_words(c) for word in wanted)]


def _all_words(declared: Calculation) -> str:
    labels = [declared.label, declared.subject, *(i.label for i in declared.inputs)]
    labels += [r.label for r in declared.results]
    return " ".join((declared.key, *map(tr, labels))).casefold()


class SubjectModel(RowsModel):
    """Calculations with the subject above each group; a subject is read and never chosen."""

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        is_subject = index.isValid() and isinstance(self.rows[index.row()], str)
        return Qt.ItemFlag.NoItemFlags if is_subject else super().flags(index)


class SubjectDelegate(RowDelegate):
    """Draws a subject as a quiet line of its own above its calculations."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        if not isinstance(index.data(Qt.ItemDataRole.UserRole), str):
            super().paint(painter, option, index)
            return
        margin = current().px(GRID)
        painter.setPen(QColor(current().colours.quiet))
        painter.setFont(option.font)
        at = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom
        painter.drawText(option.rect.adjusted(0, 0, 0, -margin // 2), at, str(index.data()))


class SubjectRows(RowsView):
    """The list: arrows go from calculation to calculation, past the subjects."""

    model_class = SubjectModel

    def __init__(self, name: str) -> None:
        super().__init__((Column(mark("Calculation"), _row_words, stretches=True),), name)
        self.setItemDelegate(SubjectDelegate(self))
        self.horizontalHeader().hide()
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def show_calculations(self, calculations: Sequence[Calculation]) -> None:
        """Show these, subject by subject; the chosen one stays chosen where it is among them."""
        rows: list[Row] = []
        for subject, group in groupby(calculations, key=lambda c: c.subject):
            rows += [subject, *group]
        self.show_rows(rows, _row_key, is_first_chosen=False)

    def choose_first(self) -> None:
        """Choose the first calculation where none is chosen."""
        if self.current() is None and len(self.rows_model.rows) > 1:
            self.choose(1)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave upwards from the first calculation, which stands below its subject."""
        if event.key() == Qt.Key.Key_Up and self.currentIndex().row() <= 1:
            self.left_upwards.emit()
        elif event.key() in (Qt.Key.Key_Down, *ENTER_KEYS) and self.current() is None:
            self.choose_first()
        else:
            super().keyPressEvent(event)


class Finder(QWidget):
    """The line and the list: what is chosen is shown at once, what is opened takes the keyboard."""

    chosen = Signal(object)
    opened = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.line = line_editor("find_calculation", tr("Find a calculation"))
        self.line.setPlaceholderText(tr("Find by any word: backlash, shim, bolt …"))
        self.nothing = unsaid()
        self.list = SubjectRows(tr("Calculations"))
        self.list.setObjectName("calculations")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GRID)
        column.addWidget(self.line)
        column.addWidget(self.nothing)
        column.addWidget(self.list, 1)
        self.setFocusProxy(self.line)
        self.line.installEventFilter(self)
        self.line.textChanged.connect(self._find)
        self.list.left_upwards.connect(self.line.setFocus)
        self.list.chosen.connect(self._tell_chosen)
        self.list.opened.connect(self.opened)
        self._find("")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Down goes into the list, Enter opens the first that was found."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() == Qt.Key.Key_Down:
                self.list.choose_first()
                self.list.setFocus(Qt.FocusReason.TabFocusReason)
                return True
            if event.key() in ENTER_KEYS:
                self.list.choose_first()
                if self.list.current() is not None:
                    self.opened.emit(self.list.current())
                return True
        return super().eventFilter(watched, event)

    def _find(self, text: str) -> None:
        calculations = found(text)
        self.list.show_calculations(calculations)
        nothing = tr("No calculation has all of these words: {text}. Try fewer.", text=text.strip())
        say(self.nothing, "" if calculations else nothing)

    def _tell_chosen(self, calculation: Calculation | None) -> None:
        # What was open stays open while another is looked for.
        if calculation is not None:
            self.chosen.emit(calculation)
