"""The line at the bottom of the window: what was done, what went wrong, what is being worked on. Never a dialog."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAccessibleEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget

from app.theme import GRID, give_role
from core.language import tr


class MessageLine(QWidget):
    """One sentence, with at most one thing to press beside it; it stays until the next one or until it is closed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sentence = QLabel()
        self.sentence.setWordWrap(True)
        self.sentence.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.progress = QProgressBar()
        self.progress.setRange(0, 0)
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName(tr("Working"))
        self.progress.setFixedWidth(16 * GRID)
        self.action = QPushButton()
        self.close_button = QPushButton(tr("Close message"))
        give_role(self.close_button, "plain")
        for button in (self.action, self.close_button):
            button.setAutoDefault(False)
        self._act: Callable[[], None] | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(3 * GRID, GRID, 3 * GRID, GRID)
        row.setSpacing(2 * GRID)
        row.addWidget(self.sentence, 1)
        row.addWidget(self.progress)
        row.addWidget(self.action)
        row.addWidget(self.close_button)
        self.action.clicked.connect(self._do)
        self.close_button.clicked.connect(self.clear)
        self.clear()

    def say(
        self, sentence: str, is_fault: bool = False, action: str = "", act: Callable[[], None] | None = None
    ) -> None:
        """Show a sentence; `action` is the word on the button beside it and `act` what it does."""
        self.progress.hide()
        self._show(sentence, is_fault, action, act)
        self.close_button.show()

    def working(self, sentence: str, cancel: Callable[[], None]) -> None:
        """Show what is being worked on, with a way to cancel it."""
        self._show(sentence, False, tr("Cancel"), cancel)
        self.close_button.hide()
        self.progress.show()

    def clear(self) -> None:
        """Empty the line and take no room."""
        self._act = None
        self.sentence.clear()
        self.hide()

    def _show(self, sentence: str, is_fault: bool, action: str, act: Callable[[], None] | None) -> None:
        give_role(self.sentence, "refusal" if is_fault else "body")
        self.sentence.setText(sentence)
        self.sentence.setAccessibleName(sentence)
        self._act = act
        self.action.setText(action)
        self.action.setVisible(bool(action))
        self.show()
        if QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleEvent(self.sentence, QAccessible.Event.Alert))

    def _do(self) -> None:
        if self._act is not None:
            self._act()
