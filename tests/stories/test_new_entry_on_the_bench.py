"""A newly declared entry stands on the bench page and is typed like any other, with nothing else changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app import theme
from app.bench.page import BenchPage
from app.settings import Settings
from core.stages import STAGES, register, stage
from core.stages.entry import Entry

HUM = Entry(
    "hum_found",
    "Play felt at the pinion flange",
    "length",
    "mm",
    limit="runout",
    highest=5.0,
    help="Pull the pinion flange and read its play.",
    group="Measured before anything is moved",
)


@pytest.fixture
def with_new_entry() -> Iterator[None]:
    """Declare one entry more at the head of the teardown, for this test only."""
    before = list(STAGES)
    teardown = stage("teardown")
    register(replace(teardown, entries=(HUM, *teardown.entries)))
    yield
    STAGES[:] = before


@pytest.mark.usefixtures("with_new_entry")
def test_it_is_asked_for_checked_and_kept(workshop: Any, job: Any, qtbot: QtBot) -> None:
    theme.apply(QApplication.instance(), "light")
    page = BenchPage(workshop, Settings(person="Jory Pell"))
    qtbot.addWidget(page)
    page.show()
    qtbot.waitExposed(page)
    page.activateWindow()
    page.show_job(job.id)
    page.turn_to("teardown")
    field = page.column.field("hum_found")
    assert "Play felt at the pinion flange" in field.name
    field.setFocus()
    qtbot.waitUntil(lambda: field.isAncestorOf(QApplication.focusWidget()))
    editor = QApplication.focusWidget()
    qtbot.keyClicks(editor, "50")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    assert workshop.state(job.id).context.value("teardown", "hum_found") is None
    assert field.text() == "50", "what was refused stays as typed"
    qtbot.keyClick(editor, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClicks(editor, "1 thou")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    assert workshop.state(job.id).context.value("teardown", "hum_found") == pytest.approx(0.0254)
    page.settle()
