"""Waiting until the hand is off the mouse.

Leaving a field stores what was typed and changes the page. If things moved while a button is held down, the button
would no longer be under the pointer when it is let go, and the press would be lost.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtWidgets import QApplication, QWidget


class _Release(QObject):
    """Waits for the button to be let go, then calls once."""

    def __init__(self, owner: QWidget, call: Callable[[], None]) -> None:
        super().__init__(owner)
        self._call = call
        QApplication.instance().installEventFilter(self)  # type: ignore[union-attr]

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.MouseButtonRelease:
            QApplication.instance().removeEventFilter(self)  # type: ignore[union-attr]
            # After the release itself: first the button that was pressed has its click.
            QTimer.singleShot(0, self, self._settle)
        return False

    def _settle(self) -> None:
        self._call()
        self.deleteLater()


def when_mouse_rests(owner: QWidget, call: Callable[[], None]) -> None:
    """Call now, or once the pressed mouse button is let go; never after `owner` is gone."""
    if QApplication.mouseButtons() == Qt.MouseButton.NoButton:
        call()
    else:
        _Release(owner, call)
