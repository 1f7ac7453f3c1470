"""What the window's binding must not do: eat references to None and True, as one release did before Python 3.12."""

from __future__ import annotations

import sys

import pytest
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

CALLS = 500


class Bell(QObject):
    """Something that can be rung."""

    rung = Signal(int)


@pytest.mark.parametrize("constant", [None, True, False])
def test_constants_are_not_used_up(qtbot: QtBot, constant: object) -> None:
    bell = Bell()
    before = sys.getrefcount(constant)
    for _ in range(CALLS):
        QApplication.focusWidget()
        QApplication.processEvents()
        bell.rung.emit(1)
    assert sys.getrefcount(constant) > before - CALLS / 2
