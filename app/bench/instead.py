"""What stands in the place of the stage for a while; Escape goes back."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget


class InsteadOfStage(QWidget):
    """A view that is shown instead of the stage, hidden until it is wanted.

    Signals
    -------
    closed()
        The person goes back.
    """

    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.hide()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.leave()
        else:
            super().keyPressEvent(event)

    def leave(self) -> None:
        """Go back."""
        self.closed.emit()
