"""The owner's page: every line leads somewhere, charts are chosen by keyboard, nothing waits on the window's thread."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order, name_of, tab_chain, visible_texts
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtGui import QAction
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app import theme
from app.jobs.rows import RowsModel
from app.owner.lists import CARE_COLUMNS, POINT_COLUMNS, WAITING_COLUMNS, comeback_columns
from app.owner.page import SHELVES, OwnerPage
from app.settings import Settings
from app.window import Window
from core.demo import LOGBOOK_NAME
from core.facts import Shop
from core.overview_words import CARE_WORDS, WHAT_LIMITS_SAY, Care
from core.records import open_logbook
from core.workshop import Workshop


def at_once(work: Callable[[], Any], done: Callable[[Any], None]) -> None:
    """Run work the way `app.tasks` does, but at once."""
    done(work())


class Later:
    """Runs work when told to."""

    def __init__(self) -> None:
        self.waiting: list[Callable[[], None]] = []

    def __call__(self, work: Callable[[], Any], done: Callable[[Any], None]) -> None:
        self.waiting.append(lambda: done(work()))

    def now(self) -> None:
        while self.waiting:
            self.waiting.pop(0)()


@pytest.fixture(scope="module")
def demo(told_demo: Path) -> Iterator[Workshop]:
    workshop = Workshop(open_logbook(told_demo / LOGBOOK_NAME))
    yield workshop
    workshop.close()


@pytest.fixture
def show(qtbot: Any) -> Iterator[Callable[..., OwnerPage]]:
    theme.apply(QApplication.instance(), "light")

    def made(workshop: Any, run: Any = at_once) -> OwnerPage:
        page = OwnerPage(workshop, run)
        page.resize(1360, 800)
        qtbot.addWidget(page)
        with qtbot.waitExposed(page):
            page.show()
        page.activateWindow()
        return page

    yield made
    theme.apply(QApplication.instance(), "light")


@pytest.fixture
def page(show: Callable[..., OwnerPage], demo: Workshop) -> OwnerPage:
    return show(demo)


def focused(page: QWidget) -> QWidget:
    return page.window().focusWidget()


def press(page: QWidget, key: Qt.Key) -> None:
    QTest.keyClick(focused(page), key)


def pick(page: OwnerPage, **chosen: str) -> None:
    """Choose in the form of the charts as a hand would."""
    for key, choice in chosen.items():
        page.charts.form.fields[key]._buttons[choice].click()
    # New words are seen with the next turn of the events.
    QApplication.processEvents()


def cells(view: Any) -> list[list[str]]:
    model = view.rows_model
    return [
        [str(model.index(row, column).data()) for column in range(model.columnCount())]
        for row in range(model.rowCount())
    ]


# -- what it shows -----------------------------------------------------------------------------------------------------


def test_the_page_begins_with_what_waits_longest(page: OwnerPage) -> None:
    assert page.first.text() == "Job 2603 waits longest: it stands in Contact pattern and was last touched 24 days ago."
    assert page.counts.text() == (
        "Teardown: 1, Housing prep: 1, Preload: 2, Backlash: 1, Contact pattern: 1, Signed: 16"
    )
    assert [line[0] for line in cells(page.jobs)] == ["2603", "2611", "2612", "2613", "2614", "2615"]
    assert {"Open jobs (6)", "Comebacks (2)", "Charts"} <= set(visible_texts(page))


@pytest.mark.parametrize(
    "columns", [WAITING_COLUMNS, CARE_COLUMNS, comeback_columns(lambda: "metric"), POINT_COLUMNS], ids=range(4)
)
def test_the_models_are_sound_tables(qtmodeltester: Any, page: OwnerPage, columns: Any) -> None:
    rows = {
        WAITING_COLUMNS: page.jobs,
        CARE_COLUMNS: page.care,
        POINT_COLUMNS: page.charts.points,
    }.get(columns, page.comebacks).rows_model.rows
    assert rows
    model = RowsModel(columns)
    model.show_rows(rows)
    qtmodeltester.check(model, force_py=True)


def test_comebacks_tell_what_moved_beside_the_list(page: OwnerPage) -> None:
    page.turn_to("comebacks")
    assert [line[:2] for line in cells(page.comebacks)] == [["K-1183", "2611"], ["M 77-205", "2544"]]
    assert page.comeback.heading.text() == "Unit K-1183 was back 730 days after job 2407 was signed"
    assert "Backlash, mean: left 0.080 mm, found 0.105 mm" in page.comeback.moved.text().splitlines()
    page.comebacks.setFocus()
    press(page, Qt.Key.Key_Down)
    assert "M 77-205" in page.comeback.heading.text()
    assert page.comeback.asked_for.text() == "Back: noise again, oil milky."
    moved = page.comebacks.rows_model.index(0, 6).data(Qt.ItemDataRole.AccessibleTextRole)
    assert "left 0.080 mm, found 0.105 mm" in moved


def test_what_to_see_to_is_one_list(page: OwnerPage) -> None:
    page.turn_to("care")
    whats = [line[0] for line in cells(page.care)]
    assert whats == sorted(whats, key=list(CARE_WORDS.values()).index)
    assert ["Calibrate", "bore gauge 50–100"] in [line[:2] for line in cells(page.care)]
    assert whats.count("Set a PIN") == 3


# -- where it leads ----------------------------------------------------------------------------------------------------


def test_every_open_job_leads_to_its_job(qtbot: Any, page: OwnerPage, demo: Workshop) -> None:
    page.jobs.setFocus()
    press(page, Qt.Key.Key_Down)
    with qtbot.waitSignal(page.job_wanted) as wanted:
        press(page, Qt.Key.Key_Return)
    assert wanted.args == [demo.job("2611").id]


def test_a_comeback_leads_to_both_its_jobs(qtbot: Any, page: OwnerPage, demo: Workshop) -> None:
    page.turn_to("comebacks")
    page.comebacks.setFocus()
    with qtbot.waitSignal(page.job_wanted) as wanted:
        press(page, Qt.Key.Key_Return)
    assert wanted.args == [demo.job("2611").id]
    for push, number in ((page.comeback.open_again, "2611"), (page.comeback.open_before, "2407")):
        assert number in push.text()
        with qtbot.waitSignal(page.job_wanted) as wanted:
            push.click()
        assert wanted.args == [demo.job(number).id]


def test_every_thing_to_see_to_leads_to_its_shelf(qtbot: Any, page: OwnerPage) -> None:
    page.turn_to("care")
    assert set(SHELVES) == set(CARE_WORDS)
    for at, care in enumerate(page.care.rows_model.rows):
        page.care.choose(at)
        with qtbot.waitSignal(page.shelf_wanted) as wanted:
            page.care.opened.emit(page.care.current())
        assert wanted.args == [SHELVES[care.what], care.id]


def test_a_point_leads_to_its_job(qtbot: Any, page: OwnerPage, demo: Workshop) -> None:
    page.turn_to("charts")
    pick(page, family="Orrin B", quantity="ring_sum")
    page.charts.points.setFocus()
    numbers = [line[0] for line in cells(page.charts.points)]
    page.charts.points.choose(numbers.index("2514"))
    with qtbot.waitSignal(page.job_wanted) as wanted:
        press(page, Qt.Key.Key_Return)
    assert wanted.args == [demo.job("2514").id]


# -- charts ------------------------------------------------------------------------------------------------------------


def test_a_chart_is_drawn_said_and_listed(page: OwnerPage) -> None:
    page.turn_to("charts")
    pick(page, family="Orrin B", quantity="backlash")
    charts = page.charts
    assert charts.figure.is_drawn
    assert charts.figure.accessibleName() == "Chart of Orrin B: Backlash, mean"
    texts = visible_texts(page)
    assert "6 jobs, 2508 to 2566: each higher than the one before. That is a drift, of a habit or a gauge." in texts
    assert WHAT_LIMITS_SAY in texts
    assert "A: Tam Ollerby, 7 jobs, on average 0.081 mm" in texts
    for text in (WHAT_LIMITS_SAY, "each higher than the one before"):
        assert text in charts.figure.accessibleDescription()
        assert text in charts.reading.accessibleDescription()
    rows = cells(charts.points)
    assert [row[0] for row in rows][:2] == ["2566", "2553"]
    assert rows[1] == [
        "2553",
        rows[1][1],
        "0.085 mm",
        "+0.002 mm",
        "A: Tam Ollerby",
        "dial gauge 1",
        "drift",
    ]
    assert rows[-1][3] == "", "the first job has none before it"
    spoken = charts.points.rows_model.index(1, 6).data(Qt.ItemDataRole.AccessibleTextRole)
    assert "each higher than the one before" in spoken


def test_marks_tell_who_read_it_or_the_gauge(page: OwnerPage) -> None:
    page.turn_to("charts")
    pick(page, family="Orrin B", quantity="turning_torque")
    assert "B: Jory Pell, 5 jobs, on average 0.76 N·m" in visible_texts(page)
    pick(page, by="gauge")
    rows = cells(page.charts.points)
    assert {row[4] for row in rows} == {"Tam Ollerby", "Jory Pell"}
    assert {row[5] for row in rows} == {"A: beam wrench 2"}
    assert not any(text.startswith("A: ") for text in visible_texts(page)), "one gauge has nothing to compare with"


def test_a_family_with_few_jobs_says_that_it_has_no_limits(page: OwnerPage) -> None:
    page.turn_to("charts")
    pick(page, family="Vask T")
    assert "2 values, shown without control limits: those need 8 that follow each other." in visible_texts(page)
    assert len(cells(page.charts.points)) == 2


def test_charts_are_gone_through_by_keyboard_alone(page: OwnerPage) -> None:
    page.turn_to("charts")
    page.charts.form.fields["family"].setFocus(Qt.FocusReason.TabFocusReason)
    press(page, Qt.Key.Key_Right)
    assert page.charts.shown is not None
    assert page.charts.shown.family == "Orrin B"
    press(page, Qt.Key.Key_Return)
    press(page, Qt.Key.Key_Right)
    press(page, Qt.Key.Key_Right)
    assert page.charts.shown.quantity.key == "backlash"
    press(page, Qt.Key.Key_Return)
    press(page, Qt.Key.Key_Return)
    assert focused(page) is page.charts.reading
    QTest.keyClick(focused(page), Qt.Key.Key_Tab)
    assert focused(page) is page.charts.points


def test_what_was_chosen_stays_when_the_page_is_come_back_to(page: OwnerPage) -> None:
    page.turn_to("charts")
    pick(page, family="Orrin B", quantity="backlash", by="gauge")
    page.charts.points.choose(3)
    chosen = page.charts.points.current().point.number
    page.hide()
    page.show()
    assert page.charts.form.values() == {"family": "Orrin B", "quantity": "backlash", "by": "gauge"}
    assert page.charts.points.current().point.number == chosen


def test_units_of_the_shop(show: Callable[..., OwnerPage], told_demo: Path, tmp_path: Path) -> None:
    shutil.copyfile(told_demo / LOGBOOK_NAME, tmp_path / "logbook.db")
    workshop = Workshop(open_logbook(tmp_path / "logbook.db"))
    shop = workshop.shop()
    workshop.save_shop(Shop(shop.name, shop.address, "inch"))
    page = show(workshop)
    page.turn_to("charts")
    pick(page, family="Orrin B", quantity="ring_sum")
    assert all(row[2].endswith(" in") for row in cells(page.charts.points))
    page.turn_to("comebacks")
    assert "lbf·in" in page.comeback.moved.text()
    workshop.close()


# -- reading -----------------------------------------------------------------------------------------------------------


def test_nothing_is_read_on_the_windows_thread(show: Callable[..., OwnerPage], demo: Workshop) -> None:
    later = Later()
    page = show(demo, later)
    assert page.first.text() == "Looking through the logbook …"
    assert page.jobs.rows_model.rowCount() == 0
    page.turn_to("charts")
    assert "Looking through the signed jobs …" in visible_texts(page)
    later.now()
    assert page.jobs.rows_model.rowCount() == 6
    pick(page, family="Orrin B")
    assert page.charts.shown is None or page.charts.shown.family != "Orrin B"
    later.now()
    assert page.charts.shown is not None
    assert page.charts.shown.family == "Orrin B"


def test_it_is_read_anew_each_time_it_is_shown(show: Callable[..., OwnerPage], workshop: Any, job: Any) -> None:
    page = show(workshop)
    assert len(cells(page.jobs)) == 1
    page.hide()
    workshop.record(job.id, "teardown", "torque_whole", "0.6", person="Jory Pell")
    before = cells(page.jobs)
    page.show()
    assert [row[0] for row in cells(page.jobs)] == [row[0] for row in before]
    page.hide()
    from core.drafts import JobDraft

    workshop.new_job(
        JobDraft("2408", "K-9", "Somebody", "", "", "", "43", "11", "3.91", False, card_id=job.card.id), "Jory Pell"
    )
    page.show()
    assert len(cells(page.jobs)) == 2


def test_an_empty_shop_says_so(show: Callable[..., OwnerPage], empty_workshop: Any) -> None:
    page = show(empty_workshop)
    assert page.first.text() == "No job is waiting."
    assert "No job is open." in visible_texts(page)
    page.turn_to("comebacks")
    assert "No unit has come back." in visible_texts(page)
    page.turn_to("care")
    assert "Nothing is to order, to calibrate or to back up." in visible_texts(page)
    page.turn_to("charts")
    assert "No job is signed yet; the charts begin with the first one." in visible_texts(page)
    page.turn_to("taught")
    assert "No job is signed yet; the first one teaches the family most." in visible_texts(page)
    for section in ("jobs", "comebacks", "care", "charts", "taught"):
        page.turn_to(section)
        assert_accessible(page)
        assert_nothing_cut_off(page)


# -- looks -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("scheme", ["light", "dark", "contrast"])
def test_the_chart_is_drawn_in_the_colours_in_force(page: OwnerPage, scheme: str) -> None:
    theme.apply(QApplication.instance(), scheme)
    page.theme_changed()
    page.turn_to("charts")
    ground = theme.current().colours.ground.lower()
    image = page.charts.figure.grab().toImage()
    assert image.pixelColor(2, 2).name() == ground
    assert page.charts.figure.is_drawn


@pytest.mark.parametrize("scale", [100, 150, 200])
def test_the_page_can_be_read_and_gone_through(page: OwnerPage, qtbot: Any, scale: int) -> None:
    theme.apply(QApplication.instance(), "light", scale)
    page.theme_changed()
    regions = {
        "jobs": [page.row, page.jobs.parentWidget()],
        "comebacks": [page.row, page.comebacks.parentWidget(), page.comeback],
        "care": [page.row, page.care.parentWidget()],
        "taught": [page.row, page.taught],
        "charts": [page.row, page.charts],
    }
    for section, parts in regions.items():
        page.turn_to(section)
        qtbot.wait(20)
        assert_accessible(page)
        assert_nothing_cut_off(page)
        assert_visual_order(page, parts)
    assert page.charts.panes.is_wide == (scale == 100)
    names = [name_of(widget) for widget in tab_chain(page)]
    assert names[-2:] == ["Chart of Kelda 3: Ring sum", "Jobs on the chart, newest first"]


# -- in the window -----------------------------------------------------------------------------------------------------


@pytest.fixture
def window(workshop: Any, job: Any, qtbot: Any) -> Iterator[Window]:
    theme.apply(QApplication.instance(), "light")
    made = Window(workshop, Settings(person="Wren Hask", path=None))
    qtbot.addWidget(made)
    with qtbot.waitExposed(made):
        made.show()
    yield made
    made.close()


def test_the_menu_goes_to_the_page_by_a_shortcut_of_its_own(window: Window, qtbot: Any) -> None:
    actions = [action for action in window.findChildren(QAction) if action.shortcut().toString()]
    keys = [action.shortcut().toString() for action in actions]
    assert len(keys) == len(set(keys))
    (owner,) = [action for action in actions if action.shortcut().toString() == "Ctrl+Shift+O"]
    owner.trigger()
    assert window.pages.currentWidget() is window.owner
    qtbot.waitUntil(lambda: window.owner.jobs.rows_model.rowCount() == 1)
    window.owner.jobs.opened.emit(window.owner.jobs.current())
    assert window.pages.currentWidget() is window.bench


@pytest.mark.parametrize("what", list(SHELVES))
def test_what_is_to_see_to_is_shown_on_its_shelf(window: Window, workshop: Any, what: str) -> None:
    things = {
        "order": workshop.parts()[3].id,
        "calibrate": workshop.gauges()[2].id,
        "pin": workshop.people()[1].id,
        "backup": 0,
    }
    window.show_owner()
    window.owner.care.opened.emit(Care(what, things[what], "", ""))
    assert window.pages.currentWidget() is window.shop
    section = getattr(window.shop, SHELVES[what])
    assert section.isVisible()
    if things[what]:
        assert section.list.current().id == things[what]
    assert section.list.hasFocus() or not window.isActiveWindow()
    assert section.list.rootIndex() == QModelIndex()
