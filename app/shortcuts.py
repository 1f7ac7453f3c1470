"""The window's own shortcuts before those of a line of text.

On X11 a line of text takes Ctrl+D, Ctrl+K and Ctrl+U for deleting, as terminals do. Whoever stands in a field and wants
the desk would lose what was typed instead.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QMainWindow


class OwnShortcuts(QObject):
    """Keeps every widget of one window from claiming a key that its menus have."""

    def __init__(self, window: QMainWindow) -> None:
        super().__init__(window)
        self._window = window
        application = QApplication.instance()
        if application is not None:
            application.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() != QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
            return False
        typed = QKeySequence(event.keyCombination())
        if not any(action.shortcut() == typed for action in self._window.findChildren(QAction)):
            return False
        # Nobody claims it, so it goes on to the menu.
        event.ignore()
        return True
