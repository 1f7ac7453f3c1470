"""A plain form: labelled fields one under the other, each with one sentence below it.

Enter goes on to the next field and, in the last one, hands the form in. A refusal stands below its field and what
was typed stays; nothing here opens a dialog, counts with the wheel or presses a button on its own.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import QEvent, QObject, QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QRadioButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.jobs.rows import Column, RowsView
from app.theme import GRID, give_role, set_mark
from app.widgets.abstract import AbstractWidget
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from app.widgets.settle import when_mouse_rests
from core.language import tr

ENTER_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class Field(QFrame, metaclass=AbstractWidget):
    """One field: the accent edge while it is armed, whatever takes the input, and the sentence below."""

    changed = Signal()
    went_on = Signal()
    armed = Signal(QWidget)

    def __init__(self, key: str, label: str, help_text: str = "") -> None:
        super().__init__()
        # The style sheet knows every field of the program, here and at the bench, by this name.
        self.setObjectName("entry_field")
        self.key = key
        self.label = words(label)
        self._help = help_text
        self._refusal = ""
        self._remark = ""
        self._is_armed = False
        self.note = unsaid()

    def _lay_out(self, body: QWidget, *focusable: QWidget) -> None:
        """Put the body behind the edge and the sentence under it; `focusable` is what arms the field."""
        column = QVBoxLayout(self)
        column.setContentsMargins(GRID, 0, 0, 0)
        column.setSpacing(GRID // 2)
        column.addWidget(body)
        column.addWidget(self.note)
        self.setFocusProxy(focusable[0])
        for widget in focusable:
            widget.installEventFilter(self)
        self._show_note()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the focus, and let Enter go on instead of pressing anything."""
        if event.type() in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
            self._is_armed = event.type() == QEvent.Type.FocusIn
            set_mark(self, "is_armed", self._is_armed)
            when_mouse_rests(self, self._show_note)
            if self._is_armed:
                self.armed.emit(self)
        elif isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and event.key() in ENTER_KEYS:
            self._enter(watched)
            return True
        return super().eventFilter(watched, event)

    def _enter(self, watched: QObject) -> None:
        self.went_on.emit()

    def line_height(self) -> int:
        """Return how high the line is beside which the label stands."""
        proxy = self.focusProxy()
        return proxy.sizeHint().height() if proxy is not None else 0

    @abstractmethod
    def value(self) -> str:
        """Return what is in the field, as typed or as the key of what was chosen."""

    @abstractmethod
    def put(self, value: str) -> None:
        """Fill the field."""

    def refuse(self, sentence: str) -> None:
        """Say why the content cannot be used; "" takes the refusal back. What was typed stays."""
        self._refusal = sentence
        self._show_note()

    def remark(self, sentence: str) -> None:
        """Say something about the content that is no error."""
        self._remark = sentence
        self._show_note()

    @property
    def refusal(self) -> str:
        """The sentence the content was refused with, or ""."""
        return self._refusal

    def _content_changed(self) -> None:
        self.refuse("")
        self.changed.emit()

    def _show_note(self) -> None:
        sentence = self._refusal or self._remark or (self._help if self._is_armed else "")
        say(self.note, sentence)
        give_role(self.note, "refusal" if self._refusal else "quiet")
        set_mark(self, "is_refused", bool(self._refusal))
        proxy = self.focusProxy()
        if proxy is not None:
            proxy.setAccessibleDescription(self._refusal or self._remark or self._help)


class TextField(Field):
    """A line of text; the unit a bare number is taken in stands behind it."""

    def __init__(self, key: str, label: str, help_text: str = "", unit: str = "") -> None:
        super().__init__(key, label, help_text)
        self.editor = line_editor(key, label)
        self.label.setBuddy(self.editor)
        self.editor.textEdited.connect(self._content_changed)
        self.unit = unsaid()
        self.unit.setWordWrap(False)
        body = QWidget()
        line = QHBoxLayout(body)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(GRID)
        line.addWidget(self.editor, 1)
        line.addWidget(self.unit)
        self.set_unit(unit)
        self._lay_out(body, self.editor)

    def refuse(self, sentence: str) -> None:
        """Say why the content cannot be used; of an empty line only that it is missing."""
        is_missing = bool(sentence) and not self.value().strip()
        super().refuse(tr("{what} is missing: type it here.", what=self.label.text()) if is_missing else sentence)

    def set_unit(self, unit: str) -> None:
        """Show another unit behind the line."""
        say(self.unit, unit)

    def value(self) -> str:
        return self.editor.text()

    def put(self, value: str) -> None:
        self.editor.setText(value)
        self.editor.setCursorPosition(0)


class ChoiceField(Field):
    """A few answers side by side, of which one is chosen; the arrow keys go through them."""

    def __init__(self, key: str, label: str, choices: Sequence[tuple[str, str]], help_text: str = "") -> None:
        super().__init__(key, label, help_text)
        self._buttons: dict[str, QRadioButton] = {}
        self._group = QButtonGroup(self)
        body = QWidget()
        row = FlowLayout(body)
        for choice, answer in choices:
            made = QRadioButton(answer)
            made.setObjectName(f"{key}_{choice}")
            made.setAccessibleName(tr("{label}: {choice}", label=label, choice=answer))
            row.addWidget(made)
            self._group.addButton(made)
            self._buttons[choice] = made
        self.label.setBuddy(next(iter(self._buttons.values())))
        self._group.buttonToggled.connect(self._toggled)
        self._lay_out(body, *self._buttons.values())

    def _toggled(self, toggled: QRadioButton, is_on: bool) -> None:
        if is_on:
            # Coming back by the keyboard lands on the answer that was given.
            self.setFocusProxy(toggled)
            self._content_changed()

    def value(self) -> str:
        return next((key for key, answer in self._buttons.items() if answer.isChecked()), "")

    def put(self, value: str) -> None:
        with QSignalBlocker(self._group):
            # An exclusive group never lets go of its last answer by itself.
            self._group.setExclusive(False)
            for key, answer in self._buttons.items():
                answer.setChecked(key == value)
            self._group.setExclusive(True)
        self.setFocusProxy(self._buttons.get(value, next(iter(self._buttons.values()))))


class RowsField(Field):
    """A list of which one row is chosen; nothing is chosen until somebody does."""

    def __init__(
        self, key: str, label: str, columns: Sequence[Column], help_text: str = "", rows_shown: int = 4
    ) -> None:
        super().__init__(key, label, help_text)
        self._rows_shown = rows_shown
        self.view = RowsView(columns, label)
        self.view.setObjectName(key)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.label.setBuddy(self.view)
        self.view.chosen.connect(self._content_changed)
        self._lay_out(self.view, self.view)

    def show_rows(self, rows: Sequence[Any], same: Any) -> None:
        """Offer these rows; the chosen one stays chosen (`same` tells by what)."""
        with QSignalBlocker(self.view):
            self.view.show_rows(rows, same, is_first_chosen=False)
        self.view.fit_height(self._rows_shown)

    def line_height(self) -> int:
        return self.view.horizontalHeader().sizeHint().height()

    def current(self) -> Any:
        """Return the chosen row's thing, or None."""
        return self.view.current()

    def value(self) -> str:
        chosen = self.current()
        return "" if chosen is None else str(chosen.id)

    def put(self, value: str) -> None:
        keys = [str(row.id) for row in self.view.rows_model.rows]
        with QSignalBlocker(self.view):
            if value in keys:
                self.view.choose(keys.index(value))
            else:
                self.view.clear_choice()


def line_editor(key: str, name: str) -> QLineEdit:
    """Return a line to type into, named for the ear and for the tests."""
    editor = QLineEdit()
    editor.setObjectName(key)
    editor.setAccessibleName(name)
    return editor


def unsaid(role: str = "quiet") -> QLabel:
    """Return a label that takes no room until `app.widgets.sentences.say` gives it something to say."""
    label = words(role=role)
    label.hide()
    return label


def button(text: str, role: str = "") -> QPushButton:
    """Return a button that only a deliberate push presses."""
    made = QPushButton(text)
    made.setAutoDefault(False)
    if role:
        give_role(made, role)
    return made


class Form(QWidget):
    """Fields one under the other, labels in one column; handed in by Enter in the last."""

    changed = Signal()
    handed_in = Signal()
    armed = Signal(QWidget)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields: dict[str, Field] = {}
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(2 * GRID)
        self._grid.setVerticalSpacing(GRID)
        self._grid.setColumnStretch(1, 1)

    def add(self, field: Field) -> None:
        """Put a field below the last one."""
        row = self._grid.rowCount()
        self._grid.addWidget(field.label, row, 0, Qt.AlignmentFlag.AlignTop)
        self._grid.addWidget(field, row, 1, Qt.AlignmentFlag.AlignTop)
        self.fields[field.key] = field
        field.changed.connect(self.changed)
        field.armed.connect(self.armed)
        field.went_on.connect(self._go_on)

    def add_heading(self, text: str) -> None:
        """Put a heading above the fields that follow."""
        heading = words(text, "heading")
        heading.setContentsMargins(0, 2 * GRID if self.fields else 0, 0, 0)
        self._grid.addWidget(heading, self._grid.rowCount(), 0, 1, 2)

    def add_row(self, widget: QWidget) -> None:
        """Put something that is no field into the column of the fields."""
        self._grid.addWidget(widget, self._grid.rowCount(), 1)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self._level_labels()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._level_labels()

    def _level_labels(self) -> None:
        """Stand every label level with the first line of its field, at whatever size text is now."""
        for field in self.fields.values():
            field.label.setMinimumHeight(field.line_height())

    def _go_on(self) -> None:
        # What is not asked is passed over.
        order = [field for field in self.fields.values() if not field.isHidden()]
        at = next(at for at, field in enumerate(order) if field is self.sender()) + 1
        if at < len(order):
            order[at].setFocus(Qt.FocusReason.TabFocusReason)
        else:
            self.handed_in.emit()

    def values(self) -> dict[str, str]:
        """Return what is in every field, by key."""
        return {key: field.value() for key, field in self.fields.items()}

    def put(self, values: Mapping[str, str]) -> None:
        """Fill the fields; those not named are emptied."""
        for key, field in self.fields.items():
            field.put(values.get(key, ""))
            field.refuse("")
            field.remark("")

    def refuse(self, sentences: Mapping[str, str]) -> None:
        """Put each sentence below its field and go to the first field refused."""
        for key, field in self.fields.items():
            field.refuse(sentences.get(key, ""))
        first = next((field for key, field in self.fields.items() if key in sentences), None)
        if first is not None:
            first.setFocus(Qt.FocusReason.OtherFocusReason)
            # Where it had the focus already, nothing else brings it into view.
            self.armed.emit(first)


class Scrolled(QScrollArea):
    """A form longer than the page: whatever is armed is brought into view."""

    def __init__(self, content: QWidget, *forms: Form) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidget(content)
        for form in forms:
            self.follow(form)

    def follow(self, form: Form) -> None:
        """Bring what is armed in a form into view from now on."""
        form.armed.connect(self._bring_into_view)

    def _bring_into_view(self, field: QWidget) -> None:
        # After the sentences that came or went have moved everything.
        QTimer.singleShot(0, self, partial(self.ensureWidgetVisible, field, 0, 2 * GRID))
