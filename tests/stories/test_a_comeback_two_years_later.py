"""A unit comes back whining two years after it left: what left the door is found, compared, corrected and printed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from told import course

from app import cli, theme
from app.settings import Settings
from app.window import Window
from core.drafts import JobDraft
from core.stages import stage

TAM, JORY, WREN = "Tam Ollerby", "Jory Pell", "Wren Hask"


def intake(workshop: Any, number: str, serial: str, asked_for: str) -> JobDraft:
    card = next(card.id for card in workshop.cards() if card.family == "Orrin B")
    return JobDraft(
        number,
        serial,
        "Brackwater Hill-climb Club",
        "",
        "hill-climb special",
        asked_for,
        "43",
        "11",
        "3.91",
        True,
        card,
    )


def tell(workshop: Any, job: Any, script: dict[Any, str], person: str) -> None:
    gauges = {gauge.use: gauge.id for gauge in reversed(workshop.gauges())}
    for (stage_key, entry, position, trial), text in script.items():
        gauge_id = gauges.get(stage(stage_key).entry(entry).gauge)
        workshop.record(
            job.id, stage_key, entry, text, position=position, trial=trial, gauge_id=gauge_id, person=person
        )


@pytest.fixture
def left(workshop: Any, clock: Any, tmp_path: Path) -> Any:
    """Return the job that left the door, signed, its sheet handed over, with one slip put right on the way."""
    job = workshop.new_job(intake(workshop, "2407", "K-1183", "Fit the carrier."), TAM)
    tell(workshop, job, course("orrin"), TAM)
    workshop.record(job.id, "fill", "oil_volume", "1.05 L", person=TAM, reason="read the vessel again")
    workshop.sign(job.id, TAM)
    workshop.write_sheet(job.id, tmp_path / "left.pdf", copy="customer", person=TAM)
    clock.now += timedelta(days=730)
    return job


@pytest.fixture
def back(workshop: Any, left: Any) -> Any:
    """Return the job it came back with, torn down and measured."""
    job = workshop.new_job(intake(workshop, "2611", "k 1183", "Back: whine on the overrun."), JORY)
    script = {place: text for place, text in course("orrin").items() if place[0] == "teardown"}
    script |= {place: "0.12" for place in script if place[1] == "backlash_found"}
    tell(workshop, job, script, JORY)
    return job


def words_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(path).pages)


def test_what_left_is_known_and_what_wore_is_told(
    workshop: Any, left: Any, back: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    history = workshop.unit_history("K-I183")
    assert [one.job.number for one in history.visits] == ["2407", "2611"]
    first, again = history.visits
    wear = again.wear["backlash_mean"]
    assert wear.left.value == pytest.approx(0.08, abs=0.005)
    assert wear.change == pytest.approx(0.12 - wear.left.value)
    assert (wear.days, wear.is_within_doubt) == (730, False)
    assert again.wear["ring_sum"].change == pytest.approx(5.0 - 5.05)
    assert [sheet.detail["copy"] for sheet in first.sheets] == ["customer"]
    assert "75W-140" in first.oil
    assert any(r.after.reason == "read the vessel again" for r in first.replaced)
    # On the command line the same, in the shop's words.
    assert cli.run(["--logbook", workshop.location, "history", "kll83"]) == cli.DONE
    told = capsys.readouterr().out
    assert "Unit K-1183, 2 visits" in told
    assert "730 days after the visit before" in told
    assert "read the vessel again" in told
    # The sheet that left says what it says, and the customer's copy names the correction.
    assert "was replaced: read the vessel again" in words_of(tmp_path / "left.pdf")


def test_the_intake_asks_whether_it_is_the_same_unit(workshop: Any, left: Any) -> None:
    def remarks(serial: str) -> list[str]:
        return [remark.text for remark in workshop.draft_remarks(intake(workshop, "2611", serial, ""))]

    assert any("Is it the same unit?" in text and "K-1183" in text for text in remarks("KI183"))
    assert any("was here before: job 2407" in text for text in remarks("k1183"))
    assert not any("same unit" in text or "here before" in text for text in remarks("K-1184"))


def test_a_reopened_job_s_sheet_says_what_became_of_it(workshop: Any, left: Any, back: Any, tmp_path: Path) -> None:
    workshop.reopen(left.id, WREN, "The comeback showed a misread backlash.")
    workshop.record(
        left.id, "backlash", "backlash", "0.09", position="at_000", trial=2, person=WREN, reason="photo of the dial"
    )
    workshop.change_job(left.id, "vehicle", "hill-climb special, rear axle", WREN, "asked again")
    workshop.sign(left.id, WREN)
    for copy in ("customer", "shop"):
        workshop.write_sheet(left.id, tmp_path / f"{copy}.pdf", copy=copy, person=WREN)
        words = words_of(tmp_path / f"{copy}.pdf")
        assert "Reopened: The comeback showed a misread backlash." in words
        assert "Corrected vehicle: “hill-climb special” became “hill-climb special, rear axle”." in words
        assert "0°, trial 2, from" in words
        assert "to 0.09 mm" in words
    assert "photo of the dial" in words_of(tmp_path / "shop.pdf")
    events = workshop.unit_history("K-1183").visits[0].amendments
    assert [event.what for event in events] == ["reopened", "corrected"]
    # The other visit is not touched by it.
    assert workshop.job("2611").revision == 1


@pytest.fixture
def window(workshop: Any, back: Any, qtbot: QtBot, tmp_path: Path) -> Iterator[Window]:
    theme.apply(QApplication.instance(), "light")
    made = Window(workshop, Settings(person=JORY, sheet_folder=str(tmp_path / "sheets")))
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    made.show_desk()
    yield made
    made.close()


def press(qtbot: QtBot, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
    qtbot.keyClick(QApplication.focusWidget(), key, modifier)
    QApplication.processEvents()


def test_from_a_half_remembered_serial_to_the_unit_s_page_by_keyboard(qtbot: QtBot, window: Window) -> None:
    qtbot.waitUntil(window.desk.search.hasFocus)
    qtbot.keyClicks(window.desk.search, "K 1I83 whine")
    qtbot.waitUntil(lambda: [row.job.number for row in window.desk.jobs.rows_model.rows] == ["2611"])
    qtbot.waitUntil(lambda: "2 visits" in window.desk.unit.text())
    press(qtbot, Qt.Key.Key_U, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: window.pages.currentWidget() is window.unit)
    qtbot.waitUntil(lambda: window.unit.title.text() == "Unit K-1183, 2 visits")
    table = window.unit.area.table
    assert table is not None
    qtbot.waitUntil(table.rows.hasFocus)
    for _ in range(30):
        if table.rows.current().id == "backlash_mean":
            break
        press(qtbot, Qt.Key.Key_Down)
    assert "in 730 days, more than the gauges can be wrong" in table.sentence.text()
    press(qtbot, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: window.pages.currentWidget() is window.desk)
    # From the bench too, and back to it.
    window.open_job(window._workshop.job("2611").id)
    press(qtbot, Qt.Key.Key_U, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: window.pages.currentWidget() is window.unit)
    press(qtbot, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    assert window.pages.currentWidget() is window.bench
