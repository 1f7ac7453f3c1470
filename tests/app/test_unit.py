"""The page of a unit, by keyboard: visits, found and left, sheets, corrections, photos."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app import theme
from app.jobs.unit import UnitPage
from core.drafts import JobDraft

PERSON = "Tam Ollerby"
PLACES = [f"at_{at:03d}" for at in range(0, 360, 45)]


def at_once(work: Callable[[], Any], done: Callable[[Any], None]) -> None:
    done(work())


def jpeg(colour: str) -> bytes:
    out = BytesIO()
    Image.new("RGB", (160, 120), colour).save(out, "JPEG")
    return out.getvalue()


def intake(workshop: Any, number: str, serial: str = "K-1183", asked_for: str = "") -> Any:
    card = next(card.id for card in workshop.cards() if card.family == "Orrin B")
    draft = JobDraft(number, serial, "Brackwater Hill-climb Club", "", "", asked_for, "43", "11", "", False, card)
    return workshop.new_job(draft, PERSON)


def tell(workshop: Any, job: Any, entry: str, texts: list[str], stage: str = "teardown", trial: int = 0) -> None:
    gauge = next(gauge.id for gauge in workshop.gauges() if gauge.use == "dial")
    for place, text in zip(PLACES if len(texts) > 1 else [""], texts, strict=False):
        workshop.record(job.id, stage, entry, text, position=place, trial=trial, gauge_id=gauge, person=PERSON)


@pytest.fixture
def comeback(workshop: Any, clock: Any, tmp_path: Path) -> Any:
    """Return the job of a second visit; the first left a backlash, a photo, a sheet and a correction."""
    first = intake(workshop, "2407", asked_for="Quieten it.")
    tell(workshop, first, "backlash_found", ["0.16"] * 8)
    workshop.record(first.id, "teardown", "runout_found", "0.3", person=PERSON)
    workshop.record(first.id, "teardown", "runout_found", "0.03", person=PERSON, reason="decimal point slipped")
    for stage in ("preload", "backlash"):
        for key, text in (("ring_gear_side", "2.60"), ("opposite_side", "2.45")):
            workshop.record(first.id, stage, key, text, trial=1, person=PERSON)
        if stage == "preload":
            for key, text in (("torque_forward", "0.6"), ("torque_back", "0.6"), ("accepted", "yes")):
                workshop.record(first.id, stage, key, text, trial=1, person=PERSON)
    tell(workshop, first, "backlash", ["0.08"] * 8, "backlash", 1)
    workshop.record(first.id, "backlash", "accepted", "yes", trial=1, person=PERSON)
    for colour in ("red", "blue"):
        workshop.add_photo(first.id, jpeg(colour), stage="teardown", caption=f"{colour} seal", person=PERSON)
    workshop.write_sheet(first.id, tmp_path / "sheet.pdf", person=PERSON)
    clock.now += timedelta(days=700)
    again = intake(workshop, "2611", "k1183", "Whine on the overrun.")
    tell(workshop, again, "backlash_found", ["0.12"] * 8)
    return again


@pytest.fixture
def page(qtbot: QtBot, workshop: Any, comeback: Any) -> Iterator[UnitPage]:
    theme.apply(QApplication.instance(), "light")
    made = UnitPage(workshop, at_once)
    qtbot.addWidget(made)
    made.resize(1360, 880)
    with qtbot.waitExposed(made):
        made.show()
    made.activateWindow()
    made.show_unit_of(comeback.id)
    yield made
    made.close()


def said(page: QWidget) -> str:
    return "\n".join(label.text() for label in page.findChildren(QLabel) if label.isVisibleTo(page))


def row(page: UnitPage, label: str) -> dict[str, str]:
    assert page.area.table is not None
    model = page.area.table.rows.rows_model
    heads = [model.headerData(at, Qt.Orientation.Horizontal) for at in range(model.columnCount())]
    for at in range(model.rowCount()):
        cells = [str(model.index(at, column).data()) for column in range(len(heads))]
        if cells[0] == label:
            return dict(zip(heads, cells, strict=True))
    raise KeyError(label)


def test_found_and_left_stand_side_by_side_with_what_changed(page: UnitPage) -> None:
    assert page.title.text() == "Unit K-1183, 2 visits"
    assert row(page, "Backlash, mean") == {
        "Measured": "Backlash, mean",
        "2407 found": "0.160 mm",
        "2407 left": "0.080 mm",
        "change to 2611": "+0.040 mm",
        "the gauges": "can tell",
        "2611 found": "0.120 mm",
        "2611 left": "–",
    }
    assert row(page, "Ring sum")["change to 2611"] == ""


def test_the_chosen_row_is_told_in_full(qtbot: QtBot, page: UnitPage) -> None:
    table = page.area.table
    assert table is not None
    qtbot.waitUntil(table.rows.hasFocus)
    for _ in range(20):
        if table.rows.current().id == "backlash_mean":
            break
        QTest.keyClick(table.rows, Qt.Key.Key_Down)
    assert table.sentence.text().startswith(
        "Backlash, mean: job 2407 left 0.080 mm, job 2611 found 0.120 mm; +0.040 mm in 700 days, "
        "more than the gauges can be wrong"
    )


def test_the_time_line_goes_to_the_jobs(qtbot: QtBot, page: UnitPage, workshop: Any) -> None:
    assert [one.number for one in page.timeline.visits] == ["2611", "2407"]
    assert page.timeline.visits[0].since == "700 days after the visit before"
    heading = next(push for push in page.timeline.findChildren(QPushButton) if push.text() == "Job 2407")
    with qtbot.waitSignal(page.job_wanted) as wanted:
        QTest.mouseClick(heading, Qt.MouseButton.LeftButton)
    assert wanted.args == [workshop.job("2407").id]


def test_sheets_corrections_and_cards_are_named(page: UnitPage, workshop: Any) -> None:
    words = said(page)
    event = next(event for event in workshop.events(workshop.job("2407").id) if event.what == "sheet")
    assert f"shop's copy, revision 1, fingerprint {event.detail['fingerprint'][:12]}" in words
    assert "face runout: 0.3 mm became 0.03 mm; replaced by Tam Ollerby" in words
    assert "decimal point slipped" in words
    assert "Job 2407: spec card Orrin B, revision 1" in words


def test_photos_are_gone_through_and_seen_large(qtbot: QtBot, page: UnitPage) -> None:
    first, second = page.area.thumbnails
    first.setFocus()
    QTest.keyClick(first, Qt.Key.Key_Right)
    qtbot.waitUntil(second.hasFocus)
    QTest.keyClick(second, Qt.Key.Key_Return)
    qtbot.waitUntil(page.view.isVisible)
    assert page.view.caption.text() == "blue seal"
    assert page.view.strike.isHidden()
    assert not page.view.later.isEnabled()
    QTest.mouseClick(page.view.earlier, Qt.MouseButton.LeftButton)
    assert page.view.caption.text() == "red seal"
    QTest.keyClick(page.view, Qt.Key.Key_Escape)
    qtbot.waitUntil(first.hasFocus)


def test_escape_and_the_button_go_back(qtbot: QtBot, page: UnitPage) -> None:
    with qtbot.waitSignal(page.back_wanted):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    with qtbot.waitSignal(page.back_wanted):
        QTest.mouseClick(page.back, Qt.MouseButton.LeftButton)


def test_the_keyboard_scrolls_what_does_not_fit(qtbot: QtBot, page: UnitPage) -> None:
    page.resize(1360, 300)
    table, bar = page.area.table, page.area.verticalScrollBar()
    assert table is not None
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    table.rows.setFocus()
    QTest.keyClick(table.rows, Qt.Key.Key_PageDown)
    assert bar.value() > 0
    QTest.keyClick(table.rows, Qt.Key.Key_PageUp)
    assert bar.value() == 0
    for _ in range(30):
        QTest.keyClick(table.rows, Qt.Key.Key_Down)
    assert bar.value() == bar.maximum()


def test_what_another_bench_writes_is_shown_on_looking_again(page: UnitPage, workshop: Any, comeback: Any) -> None:
    before = page.area.table
    page.refresh()
    assert page.area.table is before
    workshop.record(comeback.id, "teardown", "runout_found", "0.05", person="Jory Pell")
    page.refresh()
    assert row(page, "Ring-gear runout")["2611 found"] == "0.050 mm"


def test_a_unit_s_only_visit_has_nothing_to_compare(page: UnitPage, workshop: Any) -> None:
    other = intake(workshop, "2700", "Q-9")
    page.show_unit_of(other.id)
    assert page.title.text() == "Unit Q-9, first time here"
    assert "Nothing was measured yet that is followed" in said(page)
    assert "A change is what was found" not in said(page)
    assert page.area.thumbnails == []


def test_every_word_typed_is_plain_text(page: UnitPage, workshop: Any, comeback: Any) -> None:
    workshop.record(comeback.id, "teardown", "note", "<b>first</b>", person=PERSON)
    workshop.record(comeback.id, "teardown", "note", "second", person=PERSON, reason="<img src='/etc/hosts'>")
    page.refresh()
    assert "<b>first</b> became second" in said(page)
    assert "<img src='/etc/hosts'>" in said(page)


@pytest.mark.parametrize(("scheme", "scale"), [("light", 100), ("dark", 150), ("contrast", 200)])
def test_the_page_passes_the_audit(qtbot: QtBot, qapp: QApplication, page: UnitPage, scheme: str, scale: int) -> None:
    try:
        theme.apply(qapp, scheme, scale)
        qtbot.wait(20)
        assert_accessible(page)
        assert_visual_order(page, [page.top, page.timeline, page.area])
        assert_nothing_cut_off(page.area)
        assert not page.grab().isNull()
    finally:
        theme.apply(qapp, "light")
