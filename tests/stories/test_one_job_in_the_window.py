"""One whole job typed by keyboard through the real window, from the intake to the PDF, read back from the paper.

Nothing here reaches into a page: keys go to whatever has the focus, and the story only looks which field that is.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QPushButton, QRadioButton, QWidget
from pytestqt.qtbot import QtBot
from told import course, demo_data

from app import theme
from app.settings import Settings
from app.widgets.entry_field import EntryField
from app.window import Window

MOST_KEYS = 900
PERSON = "Tam Ollerby"


@pytest.fixture
def window(workshop: Any, qtbot: QtBot, tmp_path: Path) -> Iterator[Window]:
    theme.apply(QApplication.instance(), "light")
    settings = Settings(person=PERSON, sheet_folder=str(tmp_path / "sheets"))
    for gauge in reversed(workshop.gauges()):
        settings.gauges[gauge.use] = gauge.id
    made = Window(workshop, settings)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    made.show_desk()
    yield made
    made.close()


def focused(qtbot: QtBot) -> QWidget:
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
    widget = QApplication.focusWidget()
    assert widget is not None
    return widget


def field_of(widget: QWidget | None) -> EntryField | None:
    while widget is not None and not isinstance(widget, EntryField):
        widget = widget.parentWidget()
    return widget


def press(qtbot: QtBot, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    qtbot.keyClick(focused(qtbot), key, modifier)
    QApplication.processEvents()


def type_into(qtbot: QtBot, widget: QWidget, text: str) -> None:
    """Type a text, or walk to an answer with the arrow keys."""
    if not isinstance(widget, QRadioButton):
        qtbot.keyClicks(widget, text)
        return
    for _ in range(10):
        here = focused(qtbot)
        assert isinstance(here, QRadioButton)
        if here.isChecked() and here.key == text:  # type: ignore[attr-defined]
            return
        press(qtbot, Qt.Key.Key_Right)
    pytest.fail(f"no answer {text!r} to be reached")


def take_in(qtbot: QtBot, window: Window) -> None:
    """Fill the intake, field by field, with Enter."""
    qtbot.keyClick(window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    qtbot.waitUntil(lambda: window.pages.currentWidget() is window.new_job)
    for text in ("K-1183", "Brackwater Hill-climb Club", "clubhouse", "hill-climb special"):
        qtbot.keyClicks(focused(qtbot), text)
        press(qtbot, Qt.Key.Key_Return)
    choose_row(qtbot, window, "Orrin B")
    for text in ("43", "11", "3.91"):
        qtbot.keyClicks(focused(qtbot), text)
        press(qtbot, Qt.Key.Key_Return)
    press(qtbot, Qt.Key.Key_Right)
    press(qtbot, Qt.Key.Key_Return)
    qtbot.keyClicks(focused(qtbot), "Fit the limited-slip carrier; quiet.")
    press(qtbot, Qt.Key.Key_Return)
    if window.pages.currentWidget() is window.new_job:
        press(qtbot, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.pages.currentWidget() is window.bench)


def choose_row(qtbot: QtBot, window: Window, family: str) -> None:
    for _ in range(10):
        card_id = window.new_job.draft().card_id
        chosen = [card.family for card in window._workshop.cards() if card.id == card_id]
        if chosen == [family]:
            break
        press(qtbot, Qt.Key.Key_Down)
    press(qtbot, Qt.Key.Key_Return)


def work_through(qtbot: QtBot, window: Window, script: dict[tuple[str, str, str, int], str]) -> None:
    """Type what the script has for the field that is armed, and go on with Enter, until the hand-over is reached."""
    for _ in range(MOST_KEYS):
        widget = focused(qtbot)
        field = field_of(widget)
        if field is None:
            assert isinstance(widget, QPushButton), widget
            if window.bench.column.isAncestorOf(widget) or "Go on" in widget.text():
                press(qtbot, Qt.Key.Key_Return)
                continue
            return
        stage = window.bench._stage
        text = script.pop((stage, *field.key), "")
        if text:
            type_into(qtbot, widget, text)
        press(qtbot, Qt.Key.Key_Return)
    pytest.fail(f"the keyboard never reached the end; left over: {script}")


def test_one_job_by_keyboard_from_intake_to_paper(qtbot: QtBot, window: Window, tmp_path: Path) -> None:
    take_in(qtbot, window)
    script = course("orrin")
    assert len(script) > 100
    work_through(qtbot, window, script)
    assert script == {}

    button = next(b for b in window.bench.findChildren(QPushButton) if b.text() == f"Sign off as {PERSON}")
    for _ in range(20):
        if focused(qtbot) is button:
            break
        press(qtbot, Qt.Key.Key_Tab)
    press(qtbot, Qt.Key.Key_Space)
    state = window._workshop.state(window._workshop.find_jobs("K-1183")[0].job.id)
    assert state.context.job.signed_by == PERSON
    assert {s.verdict.answer.value for s in state.stages} == {"conforms"}

    with qtbot.waitSignal(window.tasks.finished, timeout=60_000):
        qtbot.keyClick(window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: "build sheet is in" in window.message.sentence.text())
    paper = next((tmp_path / "sheets").glob("*.pdf"))
    text = " ".join(page.extract_text() for page in PdfReader(paper).pages)
    for printed in (
        "K-1183",
        "Brackwater Hill-climb Club",
        "43 : 11 = 3.909",
        "5.050 mm",
        "0.080 mm",
        PERSON,
        "75W-140",
    ):
        assert printed in text
    job = demo_data("jobs")["courses"]["orrin"]
    assert any(value in text for block in job for value in block["read"].get("backlash", []))
