"""The window's own shortcuts before those of a line of text.

On X11 a line of text takes Ctrl+D, Ctrl+K and Ctrl+U for deleting, as terminals do. Whoever stands in a field and wants
the desk would lose what was typed instead.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QMainWindow, QWidget


class OwnShortcuts(QObject):
    """Keeps whatever has the focus in one window from claiming a key that its menus have."""

    def __init__(self, window: QMainWindow) -> None:
        super().__init__(window)
        self._window = window
        application = QApplication.instance()
        if isinstance(application, QApplication):
            # Only where the focus is: a filter on the application would be asked at every event of every widget.
            application.focusChanged.connect(self._follow)

    def _follow(self, _left: QWidget | None, entered: QWidget | None) -> None:
        # The one left keeps its filter; put on once more when the focus is back, it is still asked once.
        if entered is not None and self._window.isAncestorOf(entered):
            entered.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() != QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
            return False
        typed = QKeySequence(event.keyCombination())
        if not any(action.shortcut() == typed for action in self._window.findChildren(QAction)):
            return False
        # Nobody claims it, so it goes on to the menu.
        event.ignore()
        return True
