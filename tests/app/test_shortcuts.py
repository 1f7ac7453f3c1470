"""Keys of the menus work wherever the hand is: a line of text may not take them for deleting."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.settings import Settings
from app.window import Window


@pytest.fixture
def window(qtbot: QtBot, workshop: Any, job: Any) -> Iterator[Window]:
    made = Window(workshop, Settings(person="Tam Ollerby"))
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


class Greedy(QLineEdit):
    """A line that claims every key, as one on X11 claims Ctrl+U."""

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        return super().event(event)


@pytest.fixture
def line(window: Window, qtbot: QtBot) -> Greedy:
    """Return a greedy line with the hand in it."""
    made = Greedy(window)
    made.show()
    window.activateWindow()
    made.setFocus()
    qtbot.waitUntil(made.hasFocus)
    return made


def is_claimed(line: QLineEdit, key: Qt.Key) -> bool:
    pressed = QKeyEvent(QEvent.Type.ShortcutOverride, key, Qt.KeyboardModifier.ControlModifier)
    pressed.ignore()
    QApplication.sendEvent(line, pressed)
    return pressed.isAccepted()


@pytest.mark.parametrize("key", [Qt.Key.Key_D, Qt.Key.Key_K, Qt.Key.Key_U, Qt.Key.Key_P])
def test_no_line_of_text_takes_a_key_of_the_menus(line: Greedy, key: Qt.Key) -> None:
    assert not is_claimed(line, key)


@pytest.mark.parametrize("key", [Qt.Key.Key_A, Qt.Key.Key_C, Qt.Key.Key_V, Qt.Key.Key_Z])
def test_a_line_of_text_keeps_its_own_keys(line: Greedy, key: Qt.Key) -> None:
    assert is_claimed(line, key)
