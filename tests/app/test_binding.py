"""What the window's binding must not do: eat the references to None, as one release did on Pythons before 3.12."""

from __future__ import annotations

import sys

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

CALLS = 500


def test_none_is_not_used_up(qtbot: QtBot) -> None:
    before = sys.getrefcount(None)
    for _ in range(CALLS):
        QApplication.focusWidget()
        QApplication.processEvents()
    assert sys.getrefcount(None) > before - CALLS / 2
