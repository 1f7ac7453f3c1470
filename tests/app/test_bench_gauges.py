"""The gauge line of the bench: what is offered, what is said of it, and the zero check right there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app import theme
from app.bench.gauges import gauge_words, offered_name
from app.bench.lines import ResultLine
from app.bench.page import BenchPage
from app.settings import Settings
from core.errors import LogbookError
from core.facts import Calibration, Gauge, Shop, ZeroCheck

TAM, OWNER = "Tam Ollerby", "Wren Hask"
TODAY = date(2026, 3, 2)
DIAL = Gauge(1, "dial 1", "dial", "length", 0.01, 0.005, date(2026, 1, 5), 12)


@pytest.fixture
def settings(workshop: Any) -> Settings:
    kept = Settings(person=TAM)
    for gauge in workshop.gauges():
        kept.gauges.setdefault(gauge.use, gauge.id)
    return kept


@pytest.fixture
def open_bench(
    qtbot: Any, qapp: QApplication, workshop: Any, job: Any, settings: Settings, clock: Any
) -> Iterator[Callable[[], BenchPage]]:
    pages: list[BenchPage] = []

    def open_it() -> BenchPage:
        page = BenchPage(workshop, settings, lambda: clock.now)
        pages.append(page)
        qtbot.addWidget(page)
        page.resize(1280, 800)
        with qtbot.waitExposed(page):
            page.show()
        page.activateWindow()
        page.show_job(job.id)
        qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
        return page

    theme.apply(qapp, "light", 100)
    yield open_it
    for page in pages:
        page.close()


@pytest.fixture
def bench(open_bench: Callable[[], BenchPage]) -> BenchPage:
    return open_bench()


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, modifier)


def type_text(text: str) -> None:
    QTest.keyClicks(QApplication.focusWidget(), text)


def check_zero(bench: BenchPage, qtbot: Any, text: str) -> None:
    """Check the zero by keyboard."""
    QTest.keyClick(bench, Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(bench.gauges.zero.editor.hasFocus)
    type_text(text)
    press(Qt.Key.Key_Return)


def field(bench: BenchPage, entry: str, position: str = "") -> Any:
    return bench.column.field(entry, position, 0)


def buttons(bench: BenchPage, use: str = "dial") -> list[str]:
    return [button.text() for button in bench.gauges._rows[use].buttons]


# -- what is said ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "name", "said"),
    [
        ({}, "dial 1", "± 0.005 mm; calibration: good until 2027-01-05; zero not checked today"),
        (
            {"calibrated_on": date(2025, 2, 1)},
            "dial 1, overdue",
            "± 0.005 mm; calibration: overdue by 29 days; zero not checked today",
        ),
        (
            {"calibrated_on": None},
            "dial 1, never calibrated",
            "± 0.005 mm; calibration: never calibrated; zero not checked today",
        ),
        (
            {"calibrations": (Calibration(date(2026, 3, 1), is_good=False),)},
            "dial 1, found not good",
            "± 0.005 mm; calibration: found not good on 2026-03-01; zero not checked today",
        ),
        (
            {"calibrated_on": None, "interval_months": None, "use": "feeler"},
            "dial 1",
            "± 0.005 mm; calibration: not followed",
        ),
    ],
)
def test_a_gauge_is_offered_with_how_it_stands(changes: dict[str, Any], name: str, said: str) -> None:
    gauge = replace(DIAL, **changes)
    assert (offered_name(gauge, TODAY), gauge_words(gauge, TODAY)) == (name, said)


def test_the_last_zero_of_the_day_is_said_with_its_time() -> None:
    at = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)
    checks = ZeroCheck(at.replace(day=1), 0.0, True), ZeroCheck(at, -0.02, False)
    told = gauge_words(replace(DIAL, zeros=checks), TODAY)
    assert told.endswith(f"; zero off, -0.02 mm at {at.astimezone():%H:%M}")
    assert gauge_words(replace(DIAL, zeros=checks), date(2026, 3, 1)).endswith("zero good, 0 mm at 08:30")
    assert gauge_words(replace(DIAL, zeros=checks), date(2026, 3, 3)).endswith("zero not checked today")
    assert "± 0.000197 in" in gauge_words(DIAL, TODAY, "inch")


# -- what is offered ---------------------------------------------------------------------------------------------------


def test_an_overdue_gauge_is_offered_and_its_reading_is_marked(
    open_bench: Callable[[], BenchPage], workshop: Any, job: Any, settings: Settings
) -> None:
    late = workshop.add_gauge("dial gauge 7", "dial", "0.01", "0.005", "2025-02-01", "12")
    settings.gauges["dial"] = late.id
    bench = open_bench()
    assert buttons(bench) == ["dial gauge 1", "dial gauge 7, overdue", "none named"]
    assert "overdue by 29 days" in bench.gauges.facts.text()
    first = field(bench, "backlash_found", "at_000")
    type_text("0.14")
    press(Qt.Key.Key_Return)
    assert first.limit.text() == "dial gauge 7: calibration overdue by 29 days"
    assert first.limit.isVisible()
    assert "calibration overdue by 29 days" in first.editor.accessibleDescription()
    following = field(bench, "backlash_found", "at_045")
    assert not following.limit.isVisible() or "overdue" not in following.limit.text()


def test_what_is_worked_out_from_a_marked_reading_is_marked(
    open_bench: Callable[[], BenchPage], workshop: Any, job: Any, settings: Settings
) -> None:
    late = workshop.add_gauge("dial gauge 7", "dial", "0.01", "0.005", "2025-02-01", "12")
    settings.gauges["dial"] = late.id
    bench = open_bench()
    for _ in range(8):
        type_text("0.14")
        press(Qt.Key.Key_Return)
    told = [line.limit.text() for line in bench.column.findChildren(ResultLine)]
    assert sum("dial gauge 7: calibration overdue by 29 days" in text for text in told) >= 2


def test_a_retired_gauge_is_not_offered(
    open_bench: Callable[[], BenchPage], workshop: Any, job: Any, settings: Settings
) -> None:
    other = workshop.add_gauge("dial gauge 7", "dial", "0.01", "0.005", "2026-01-05", "12")
    settings.gauges["dial"] = other.id
    workshop.retire_gauge(other.id, OWNER)
    bench = open_bench()
    assert buttons(bench) == ["dial gauge 1", "none named"]
    assert bench.gauges.gauge_for("dial") != other.id


# -- the zero ----------------------------------------------------------------------------------------------------------


def test_a_zero_is_checked_by_keyboard_without_storing_what_is_half_typed(
    bench: BenchPage, workshop: Any, job: Any, qtbot: Any
) -> None:
    first = field(bench, "backlash_found", "at_000")
    type_text("0.1")
    check_zero(bench, qtbot, "-0,01")
    assert workshop.state(job.id).context.readings == ()
    check = workshop.gauges()[0].zeros[-1]
    assert (check.value, check.is_good, check.person) == (-0.01, True, TAM)
    assert bench.gauges.facts.text() == "dial gauge 1: zero good, -0.01 mm."
    assert bench.gauges.facts.property("role") == "quiet"
    assert (first.text(), first.isAncestorOf(QApplication.focusWidget())) == ("0.1", True)
    assert bench.gauges.zero.is_open is False
    type_text("0.14")
    press(Qt.Key.Key_Return)
    assert workshop.state(job.id).context.readings[0].value == 0.14


def test_a_zero_is_checked_with_the_mouse(bench: BenchPage, workshop: Any, qtbot: Any) -> None:
    zero = bench.gauges.zero
    qtbot.mouseClick(zero.button, Qt.MouseButton.LeftButton)
    assert zero.editor.hasFocus()
    assert (zero.unit.text(), zero.button.isVisible()) == ("mm", False)
    assert bench.gauges.facts.text().startswith("Type what it shows at zero")
    type_text("0")
    press(Qt.Key.Key_Return)
    assert workshop.gauges()[0].zeros[-1].value == 0.0


def test_a_bad_zero_warns_and_marks_what_was_read_since(bench: BenchPage, workshop: Any, job: Any, qtbot: Any) -> None:
    first = field(bench, "backlash_found", "at_000")
    type_text("0.14")
    press(Qt.Key.Key_Return)
    check_zero(bench, qtbot, "0.03")
    assert bench.gauges.facts.text() == (
        "dial gauge 1: zero off by 0.03 mm, more than 0.01 mm. Set it, and check again. "
        "Marked are the readings since the last good check: job 2407 (1); take them again."
    )
    assert bench.gauges.facts.property("role") == "refusal"
    assert first.limit.text() == "dial gauge 1: zero was off"
    check_zero(bench, qtbot, "0")
    assert bench.gauges.facts.property("role") == "quiet"


@pytest.mark.parametrize("typed", ["", "nought", "3 N·m"])
def test_a_zero_that_cannot_be_read_stays_typed_with_a_sentence(
    bench: BenchPage, workshop: Any, qtbot: Any, typed: str
) -> None:
    check_zero(bench, qtbot, typed)
    assert bench.gauges.zero.editor.hasFocus()
    assert bench.gauges.zero.editor.text() == typed
    assert bench.gauges.facts.text().endswith(".")
    assert bench.gauges.facts.property("role") == "refusal"
    assert workshop.gauges()[0].zeros == ()


def test_a_zero_that_cannot_be_kept_stays_typed(
    bench: BenchPage, workshop: Any, qtbot: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise LogbookError("The disk is full.", "Make room.")

    monkeypatch.setattr(workshop, "zero_check", full)
    check_zero(bench, qtbot, "0.01")
    assert bench.gauges.zero.editor.text() == "0.01"
    assert bench.gauges.facts.text() == "The disk is full. Make room."


def test_escape_gives_the_check_up(bench: BenchPage, workshop: Any, qtbot: Any) -> None:
    QTest.keyClick(bench, Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    type_text("0.5")
    press(Qt.Key.Key_Escape)
    assert (bench.gauges.zero.is_open, bench.gauges.zero.editor.text()) == (False, "")
    assert bench.gauges.facts.text().endswith("zero not checked today")
    assert field(bench, "backlash_found", "at_000").isAncestorOf(QApplication.focusWidget())
    assert workshop.gauges()[0].zeros == ()


def test_only_a_gauge_with_a_zero_offers_the_check(bench: BenchPage, workshop: Any, qtbot: Any) -> None:
    zero = bench.gauges.zero
    bench.turn_to("housing_prep")
    QTest.keyClick(bench, Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    seen = {}
    for entry, position in (("running_clearance", "no_1"), ("washed", ""), ("cup_bore", "left")):
        field(bench, entry, position).setFocus(Qt.FocusReason.OtherFocusReason)
        QTest.keyClick(bench, Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
        seen[entry] = zero.isVisible(), zero.is_open
    assert seen == {"running_clearance": (False, False), "washed": (False, False), "cup_bore": (True, True)}
    bench.gauges.show_use("thermometer")
    assert zero.unit.text() == "°C"


def test_what_was_typed_for_one_gauge_is_not_stored_for_another(bench: BenchPage, workshop: Any, qtbot: Any) -> None:
    QTest.keyClick(bench, Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    type_text("0.5")
    bench.gauges.show_use("micrometer")
    assert (bench.gauges.zero.is_open, bench.gauges.zero.editor.text()) == (False, "")


def test_another_benchs_check_is_seen_and_the_line_typed_in_stays(bench: BenchPage, workshop: Any, qtbot: Any) -> None:
    QTest.keyClick(bench, Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    type_text("0.0")
    workshop.zero_check(bench.gauges.gauge_for("dial"), "0.02", "Jory Pell")
    bench.look_again()
    assert "zero off, 0.02 mm at" in bench.gauges.facts.text()
    assert (bench.gauges.zero.is_open, bench.gauges.zero.editor.text()) == (True, "0.0")


def test_words_are_in_the_shops_units(open_bench: Callable[[], BenchPage], workshop: Any, qtbot: Any) -> None:
    workshop.save_shop(Shop("Ferrow Lane Driveline", "", "inch"))
    bench = open_bench()
    assert "± 0.000197 in" in bench.gauges.facts.text()
    check_zero(bench, qtbot, "1 thou")
    assert "zero off by 0.001 in, more than 0.000394 in" in bench.gauges.facts.text()


@pytest.mark.parametrize(("width", "scale"), [(1280, 100), (900, 100), (1280, 200)])
def test_the_line_finds_room(bench: BenchPage, qapp: QApplication, qtbot: Any, width: int, scale: int) -> None:
    theme.apply(qapp, "light", scale)
    bench.theme_changed()
    bench.resize(width, 800)
    check_zero(bench, qtbot, "0.03")
    QTest.keyClick(bench, Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: bench.width() == width)
    assert_nothing_cut_off(bench.gauges)
    assert_accessible(bench.gauges)
    theme.apply(qapp, "light", 100)
