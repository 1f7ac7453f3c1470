"""What a value is typed or chosen in: one line, a growing text, or a row of answers.

All three behave alike: Enter goes on, Escape gives up the change, leaving is told with its reason. There is no spin
box, no validator and no list to open: what is typed stays as typed, and the wheel belongs to the page.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QMimeData, Qt, Signal
from PySide6.QtGui import (
    QDragEnterEvent,
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QResizeEvent,
    QTextOption,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QRadioButton, QSizePolicy, QWidget

from app.widgets.flow import FlowLayout
from app.widgets.pictures import are_pictures
from core.language import tr
from core.quantities import LONGEST_TEXT
from core.stages.entry import Choice

ENTER_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
MOST_LINES = 8
# Far more than any value or text may have, far less than would stall the page; what is over it is refused, not cut.
MOST_PASTED = 4 * LONGEST_TEXT


def _is_paste(event: QKeyEvent) -> bool:
    return event.matches(QKeySequence.StandardKey.Paste)


def _give_up_pictures(event: QEvent, mime: QMimeData) -> bool:
    """Leave files and pictures to the page the field stands on; their paths are no text anybody means to enter."""
    is_given_up = are_pictures(mime)
    if is_given_up:
        event.ignore()
    return is_given_up


class LineEditor(QLineEdit):
    """One line, for a number with or without its unit."""

    edited = Signal()
    entered = Signal()
    escaped = Signal()
    armed = Signal()
    left = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.textEdited.connect(self._tell_edited)

    def set_text(self, text: str) -> None:
        """Put a text in without telling that a person did; in the armed field the next key replaces it."""
        self.setText(text)
        if self.hasFocus():
            self.selectAll()

    def set_read_only(self, is_read_only: bool) -> None:
        """Let the text only be read."""
        self.setReadOnly(is_read_only)

    def set_name(self, name: str) -> None:
        """Say what is entered here."""
        self.setAccessibleName(name)

    def set_description(self, description: str) -> None:
        """Say more about it, for who listens."""
        self.setAccessibleDescription(description)

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [self]

    def _tell_edited(self) -> None:
        self.edited.emit()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if not _give_up_pictures(event, event.mimeData()):
            super().dragEnterEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER_KEYS:
            self.entered.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        elif not _is_paste(event) or not _give_up_pictures(event, QApplication.clipboard().mimeData()):
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if event.reason() != Qt.FocusReason.MouseFocusReason:
            self.selectAll()
        self.armed.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.deselect()
        self.left.emit(event.reason())


class TextEditor(QPlainTextEdit):
    """A text that grows with its lines; Enter goes on, Shift and Enter make a new line."""

    edited = Signal()
    entered = Signal()
    escaped = Signal()
    armed = Signal()
    left = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTabChangesFocus(True)
        self.setWordWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._is_filling = False
        self.textChanged.connect(self._tell_edited)

    def text(self) -> str:
        """Return what is written."""
        return self.toPlainText()

    def set_text(self, text: str) -> None:
        """Put a text in without telling that a person did."""
        self._is_filling = True
        self.setPlainText(text)
        self._is_filling = False

    def set_read_only(self, is_read_only: bool) -> None:
        """Let the text only be read."""
        self.setReadOnly(is_read_only)

    def set_name(self, name: str) -> None:
        """Say what is entered here."""
        self.setAccessibleName(name)

    def set_description(self, description: str) -> None:
        """Say more about it, for who listens."""
        self.setAccessibleDescription(description)

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [self]

    def insertFromMimeData(self, source: QMimeData) -> None:
        """Paste at most what the rules could refuse: a megabyte would stall the page before they are asked."""
        self.insertPlainText(source.text()[:MOST_PASTED])

    def _tell_edited(self) -> None:
        self._grow()
        if not self._is_filling:
            self.edited.emit()

    def _grow(self) -> None:
        lines = min(max(round(self.document().size().height()), 1), MOST_LINES)
        # Before the page is laid out the viewport has no size of its own yet.
        frame = max(self.height() - self.viewport().height(), 0)
        margins = 2 * self.document().documentMargin() + frame
        self.setFixedHeight(round(lines * self.fontMetrics().lineSpacing() + margins))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self._grow()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._grow()

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if not _give_up_pictures(event, event.mimeData()):
            super().dragEnterEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_enter = event.key() in ENTER_KEYS
        if is_enter and not event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self.entered.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        elif is_enter and not self.isReadOnly():
            # A line break of its own paragraph, so that the text comes back with plain line ends.
            self.textCursor().insertBlock()
            self.ensureCursorVisible()
        elif not _is_paste(event) or not _give_up_pictures(event, QApplication.clipboard().mimeData()):
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.armed.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.left.emit(event.reason())


class AnswerButton(QRadioButton):
    """One answer in a row of answers; the keys are the row's."""

    def __init__(self, key: str, label: str, row: ChoiceEditor) -> None:
        super().__init__(label, row)
        self.key = key
        self._row = row
        # The row keeps them exclusive itself, so that an answer can also be taken back.
        self.setAutoExclusive(False)
        self.clicked.connect(self._choose)

    def _choose(self) -> None:
        self._row.choose(self)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not self._row.take_key(event, self):
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._row.armed.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._row.left.emit(event.reason())


class ChoiceEditor(QWidget):
    """A row of answers, one of which may be chosen: arrow keys, first letter, space bar or mouse.

    The whole row is one stop of the Tab key. Delete takes the answer back.
    """

    edited = Signal()
    entered = Signal()
    escaped = Signal()
    armed = Signal()
    left = Signal(object)
    clicked = Signal()

    def __init__(self, choices: Sequence[Choice], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._is_read_only = False
        self._unknown = ""
        self._name = ""
        row = FlowLayout(self)
        self.buttons = [AnswerButton(choice.key, tr(choice.label), self) for choice in choices]
        for button in self.buttons:
            row.addWidget(button)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self._one_stop()

    def text(self) -> str:
        """Return the key of the chosen answer, or ""."""
        return next((button.key for button in self.buttons if button.isChecked()), self._unknown)

    def set_text(self, text: str) -> None:
        """Choose an answer by its key; a key that is not among them is kept, and no answer shown as chosen."""
        for button in self.buttons:
            button.setChecked(button.key == text)
        self._unknown = "" if any(button.isChecked() for button in self.buttons) else text
        self._one_stop()

    def set_read_only(self, is_read_only: bool) -> None:
        """Let the answer only be read; the keyboard may still come by."""
        self._is_read_only = is_read_only

    def set_name(self, name: str) -> None:
        """Say what is asked; each answer says it with its own word."""
        self._name = name
        self.setAccessibleName(name)
        for button in self.buttons:
            button.setAccessibleName(tr("{question}: {answer}", question=name, answer=button.text()))

    def set_description(self, description: str) -> None:
        """Say more about it, for who listens."""
        for button in self.buttons:
            button.setAccessibleDescription(description)

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return list(self.buttons)

    def choose(self, chosen: AnswerButton) -> None:
        """Take an answer that was clicked."""
        if self._is_read_only:
            self.set_text(self._before)
            return
        self._put(chosen)
        self.clicked.emit()

    def take_key(self, event: QKeyEvent, at: AnswerButton) -> bool:
        """Act on a key pressed on one of the answers; False leaves it to others."""
        key = Qt.Key(event.key())
        steps = {Qt.Key.Key_Left: -1, Qt.Key.Key_Up: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Down: 1}
        if key in ENTER_KEYS:
            self.entered.emit()
        elif key == Qt.Key.Key_Escape:
            self.escaped.emit()
        elif self._is_read_only:
            return False
        elif key in steps:
            self._put(self.buttons[(self.buttons.index(at) + steps[key]) % len(self.buttons)])
        elif key == Qt.Key.Key_Space:
            self._put(at)
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self._put(None)
        else:
            return self._by_letter(event.text(), at)
        return True

    def _by_letter(self, typed: str, at: AnswerButton) -> bool:
        """Choose by first letter, the next one where several begin alike."""
        after = self.buttons.index(at) + 1
        in_order = self.buttons[after:] + self.buttons[:after]
        for button in in_order:
            if typed.strip() and button.text().casefold().startswith(typed.casefold()):
                self._put(button)
                return True
        return False

    def _put(self, chosen: AnswerButton | None) -> None:
        self.set_text("" if chosen is None else chosen.key)
        if chosen is not None:
            chosen.setFocus(Qt.FocusReason.OtherFocusReason)
        self.edited.emit()

    def _one_stop(self) -> None:
        """Make the chosen answer, or the first, the one stop of the row."""
        self._before = self.text()
        stop = next((button for button in self.buttons if button.isChecked()), self.buttons[0])
        for button in self.buttons:
            is_stop = button is stop
            button.setFocusPolicy(Qt.FocusPolicy.StrongFocus if is_stop else Qt.FocusPolicy.ClickFocus)
        self.setFocusProxy(stop)
