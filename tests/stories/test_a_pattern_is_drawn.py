"""A technician draws the pattern as found and two trials; the sheet shows them, and they travel as they were drawn."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, sin
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app import theme
from app.bench.page import BenchPage
from app.settings import Settings
from app.window import Window
from core.records import open_logbook
from core.workshop import Workshop

JORY = "Jory Pell"


@pytest.fixture
def bench(workshop: Any, job: Any, qtbot: QtBot, tmp_path: Path) -> Iterator[BenchPage]:
    theme.apply(QApplication.instance(), "light")
    made = Window(workshop, Settings(person=JORY, sheet_folder=str(tmp_path / "sheets")))
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    made.open_job(job.id)
    yield made.bench
    made.close()


def draw(
    bench: BenchPage, entry: str, trial: int, along: float, depth: float, length: float, height: float, slant: float = 0
) -> None:
    """Draw an oval with the mouse, in percent of the tooth; its heel end rises by `slant` percent."""
    field = bench.column.field(entry, "", trial)
    field.setFocus(Qt.FocusReason.OtherFocusReason)
    QApplication.processEvents()
    tooth = field.editor.canvas
    places = []
    for step in range(33):
        turn = 2 * pi * step / 32
        share = along + length / 2 * cos(turn), depth + height / 2 * sin(turn) + slant * cos(turn)
        x, y = tooth.view().at(share[0] / 100, share[1] / 100)
        places.append(QPoint(round(x), round(y)))
    QTest.mousePress(tooth, Qt.MouseButton.LeftButton, pos=places[0])
    for place in places[1:]:
        QTest.mouseMove(tooth, place)
    QTest.mouseRelease(tooth, Qt.MouseButton.LeftButton, pos=places[-1])
    QTest.keyClick(tooth, Qt.Key.Key_Return)
    QApplication.processEvents()


def press(key: Qt.Key) -> None:
    QTest.keyClick(QApplication.focusWidget(), key)
    QApplication.processEvents()


def test_as_found_two_trials_and_the_sheet(
    bench: BenchPage, workshop: Any, job: Any, tmp_path: Path, furnished_logbook: Path
) -> None:
    # As found: high and toward the heel on the drive side; the coast side by a common shape, moved a little.
    bench.turn_to("teardown")
    draw(bench, "contact_drive_outline", 0, 62, 48, 45, 60)
    coast = bench.column.field("contact_coast_outline", "", 0)
    assert QApplication.focusWidget() is coast.editor.canvas
    for key in (Qt.Key.Key_1, Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Return):
        press(key)
    # Trial 1 with a patch that slants, and only one flank read: the page says what is missing.
    bench.turn_to("contact_pattern")
    draw(bench, "drive_outline", 1, 30, 60, 40, 40, slant=15)
    assert "accept" not in bench.next_thing.text().lower()
    for key in (Qt.Key.Key_2, Qt.Key.Key_Return):
        press(key)
    # Trial 2: centred on the drive side, bridged on the coast side.
    bench.column.next_trial.click()
    QApplication.processEvents()
    draw(bench, "drive_outline", 2, 46, 52, 48, 62)
    for key in (Qt.Key.Key_6, Qt.Key.Key_Return):
        press(key)
    bench.settle()
    context = workshop.state(job.id).context
    drawn = {(r.stage, r.entry, r.trial) for r in context.current.values() if r.entry.endswith("_outline")}
    assert len(drawn) == 6
    assert context.value("contact_pattern", "drive_along", trial=2) == pytest.approx(0.46, abs=0.02)
    assert context.value("contact_pattern", "drive_height", trial=2) == pytest.approx(0.62, abs=0.03)
    assert context.text("contact_pattern", "coast_length", trial=2) == "94"
    assert context.text("teardown", "contact_coast_along") == "52"
    workshop.record(job.id, "contact_pattern", "accepted", "yes", trial=2, person=JORY)
    for copy in ("shop", "customer"):
        read_the_paper(workshop.write_sheet(job.id, tmp_path / f"{copy}.pdf", copy=copy, person="Tam Ollerby"), copy)
    # What was replaced is told in words, not in points.
    workshop.record(
        job.id, "contact_pattern", "coast_outline", "20 20; 80 20; 80 80; 20 80", trial=2, person=JORY, reason="wiped"
    )
    text = words_of(workshop.write_sheet(job.id, tmp_path / "again.pdf", person="Tam Ollerby"))
    assert "50 % along, 50 % up, 94 × 46 %" in text
    assert "wiped" in text
    assert "20 20" not in text
    travels(workshop, job, tmp_path)


def words_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def read_the_paper(path: Path, copy: str) -> None:
    text = words_of(path)
    assert "drive side, convex" in text
    assert "coast side, concave" in text
    assert "solid: as it is now · outlined: as found" in text
    assert "found 62 % along, 48 % up" in text
    assert "94 × 46 %" in text
    if copy == "shop":
        # Each trial has its own figure, and its own words.
        assert text.count("drive side, convex") >= 4
        assert "tilted" in text


def travels(workshop: Any, job: Any, tmp_path: Path) -> None:
    """Take the job to another logbook: the prints arrive as they were drawn."""
    archive = workshop.export_archive(tmp_path / "job.zip", job=job.number)
    with open_logbook(tmp_path / "other.db") as logbook:
        other = Workshop(logbook)
        other.import_archive(archive, "Tam Ollerby")
        arrived = other.state(other.job(job.number).id).context.current
    here = workshop.state(job.id).context.current
    outlines = {place: reading.text for place, reading in here.items() if place[1].endswith("_outline")}
    assert outlines == {place: r.text for place, r in arrived.items() if place[1].endswith("_outline")}
