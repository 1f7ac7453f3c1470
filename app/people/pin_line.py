"""The line that asks for a PIN, in the page itself: what is typed is not shown, and a wait is counted down."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app import theme
from app.widgets.editors import LineEditor
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from core.errors import PinError
from core.language import tr
from core.pins import wait_words

PIN_WIDTH = 160


class PinEditor(LineEditor):
    """One line whose content is not shown."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setEchoMode(LineEditor.EchoMode.Password)
        self.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self.setInputMethodHints(Qt.InputMethodHint.ImhDigitsOnly | Qt.InputMethodHint.ImhSensitiveData)


class PinLine(QWidget):
    """Whose PIN is asked for, the line for it, what it is given for, and why it was refused.

    Signals
    -------
    given()
        Enter in the line, or the button beside it.
    given_up()
        Escape.
    """

    given = Signal()
    given_up = Signal()

    def __init__(self, push: str, clock: Callable[[], float] = time.monotonic, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._clock = clock
        self._refusal, self._until = "", 0.0
        self.prompt = words("", "body", wraps=False)
        self.editor = PinEditor()
        self.push = QPushButton(push)
        self.push.setAutoDefault(False)
        self.refusal = words("", "refusal")
        self._tick = QTimer(self)
        self._tick.setInterval(1000)
        line = QWidget()
        row = FlowLayout(line)
        for widget in (self.editor, self.push):
            row.addWidget(widget)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.GRID // 2)
        column.addWidget(self.prompt)
        column.addWidget(line)
        column.addWidget(self.refusal)
        self.setFocusProxy(self.editor)
        self.editor.entered.connect(self.given)
        self.editor.escaped.connect(self.given_up)
        self.push.clicked.connect(self.given)
        self._tick.timeout.connect(self._count_down)
        self.put_away()

    def ask(self, name: str) -> None:
        """Ask for somebody's PIN."""
        prompt = tr("PIN of {name}", name=name)
        if prompt != self.prompt.text():
            self.prompt.setText(prompt)
            self.editor.set_name(prompt)
            self._forget()
        self.editor.setFixedWidth(theme.current().px(PIN_WIDTH))
        self.show()

    def put_away(self) -> None:
        """Ask no longer; nothing of what was typed is kept."""
        self.prompt.clear()
        self._forget()
        self.hide()

    def text(self) -> str:
        """Return the PIN as typed."""
        return self.editor.text()

    def refuse(self, error: PinError) -> None:
        """Say why the PIN was refused, and count the wait down; the next key begins it anew."""
        self._refusal, self._until = error.message, self._clock() + error.wait_s
        self.editor.set_text(self.editor.text())
        self.editor.setFocus(Qt.FocusReason.OtherFocusReason)
        if error.wait_s:
            self._count_down()
            self._tick.start()
        else:
            self._say(str(error))

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [self.editor, self.push]

    def _forget(self) -> None:
        self._tick.stop()
        self.editor.set_text("")
        self._say("")

    def _count_down(self) -> None:
        left = math.ceil(self._until - self._clock())
        if left <= 0:
            self._tick.stop()
        self._say(f"{self._refusal} {wait_words(left)}")

    def _say(self, sentence: str) -> None:
        say(self.refusal, sentence)
        self.editor.set_description(sentence)
