"""The desk and the intake: finding, opening and beginning jobs by keyboard."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from PySide6.QtCore import QCoreApplication, QModelIndex, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QLineEdit, QPushButton, QWidget

from app import theme
from app.jobs.desk import DeskPage
from app.jobs.job_rows import JOB_COLUMNS, MARKS_COLUMN
from app.jobs.latest import Latest
from app.jobs.new_job import NewJobPage
from app.jobs.panes import Panes
from app.jobs.rows import RowsModel
from app.jobs.visits import visit
from core.drafts import JobDraft
from core.errors import UserError


def at_once(work: Callable[[], Any], done: Callable[[Any], None]) -> None:
    """Run work the way `app.tasks` does, but at once."""
    done(work())


class Later:
    """Runs work when told to, so that a test can let answers overtake each other."""

    def __init__(self) -> None:
        self.waiting: list[Callable[[], None]] = []

    def __call__(self, work: Callable[[], Any], done: Callable[[Any], None]) -> None:
        self.waiting.append(lambda: done(work()))


@pytest.fixture
def shop(workshop: Any) -> Any:
    """Return the demo's workshop with three jobs, two of them visits of one unit."""
    cards = {card.family: card.id for card in workshop.cards()}
    for number, serial, customer, asked_for in (
        ("2407", "K-1183", "Brackwater Hill-climb Club", "Fit a limited-slip carrier."),
        ("2433", "M 77-205", "Dunmarrow Farm", "Quieten it."),
        ("2611", "k-1183", "Brackwater Hill-climb Club", "Whine on the overrun."),
    ):
        draft = JobDraft(
            number, serial, customer, "", "", asked_for, "43", "11", "3.91", False, card_id=cards["Orrin B"]
        )
        workshop.new_job(draft, "Tam Ollerby")
    return workshop


def show(qtbot: Any, page: QWidget) -> None:
    page.resize(1400, 900)
    qtbot.addWidget(page)
    with qtbot.waitExposed(page):
        page.show()
    page.activateWindow()


@pytest.fixture
def desk(qtbot: Any, shop: Any) -> Iterator[DeskPage]:
    page = DeskPage(shop, at_once)
    show(qtbot, page)
    yield page
    page.close()


@pytest.fixture
def intake(qtbot: Any, shop: Any) -> Iterator[NewJobPage]:
    page = NewJobPage(shop, at_once, lambda: "Tam Ollerby")
    show(qtbot, page)
    yield page
    page.close()


def armed(qtbot: Any, widget: QWidget) -> None:
    qtbot.waitUntil(widget.hasFocus)


def shown_numbers(page: DeskPage) -> list[str]:
    return [row.job.number for row in page.jobs.rows_model.rows]


def said(page: QWidget) -> str:
    return "\n".join(label.text() for label in page.findChildren(QLabel) if label.isVisible())


# -- rows --------------------------------------------------------------------------------------------------------------


def test_the_model_of_the_jobs_is_a_sound_table(qtmodeltester: Any, shop: Any) -> None:
    model = RowsModel(JOB_COLUMNS)
    model.show_rows(shop.find_jobs())
    qtmodeltester.check(model, force_py=True)
    assert model.rowCount(model.index(0, 0)) == 0
    assert model.columnCount(model.index(0, 0)) == 0


def test_a_cell_tells_the_ear_what_it_shows_the_eye(shop: Any) -> None:
    model = RowsModel(JOB_COLUMNS)
    model.show_rows(shop.find_jobs())
    marks = model.index(0, MARKS_COLUMN)
    assert marks.data() == ""
    spoken = marks.data(Qt.ItemDataRole.AccessibleTextRole)
    assert spoken.startswith("Stages: Teardown missing, Housing prep missing")
    assert model.index(0, 3).data(Qt.ItemDataRole.AccessibleTextRole) == "Customer: Brackwater Hill-climb Club"


def test_a_screen_reader_finds_the_cells(desk: DeskPage) -> None:
    QAccessible.setActive(True)
    table = QAccessible.queryAccessibleInterface(desk.jobs)
    assert table.text(QAccessible.Text.Name) == "Jobs"
    # Heads and row heads are cells too; the second job column of the first row.
    cell = table.child((len(JOB_COLUMNS) + 1) + 2)
    assert "Unit: " in cell.text(QAccessible.Text.Name)


# -- desk --------------------------------------------------------------------------------------------------------------


def test_typing_narrows_the_list_and_a_word_nobody_wrote_says_so(desk: DeskPage) -> None:
    assert len(shown_numbers(desk)) == 3
    QTest.keyClicks(desk.search, "dunmarrow")
    assert shown_numbers(desk) == ["2433"]
    desk.search.clear()
    QTest.keyClicks(desk.search, "zzz")
    assert shown_numbers(desk) == []
    assert "zzz" in desk.found.text()
    assert not desk.open_job.isEnabled()
    assert desk.timeline.visits == ()


def test_a_job_is_found_and_opened_by_keyboard_alone(qtbot: Any, desk: DeskPage) -> None:
    desk.search.setFocus()
    armed(qtbot, desk.search)
    QTest.keyClicks(desk.search, "k-1183")
    QTest.keyClick(desk.search, Qt.Key.Key_Return)
    armed(qtbot, desk.jobs)
    QTest.keyClick(desk.jobs, Qt.Key.Key_Down)
    wanted = desk.jobs.current().job.id
    with qtbot.waitSignal(desk.job_wanted) as opened:
        QTest.keyClick(desk.jobs, Qt.Key.Key_Return)
    assert opened.args == [wanted]
    QTest.keyClick(desk.jobs, Qt.Key.Key_Up)
    QTest.keyClick(desk.jobs, Qt.Key.Key_Up)
    armed(qtbot, desk.search)
    QTest.keyClick(desk.search, Qt.Key.Key_Escape)
    assert desk.search.text() == ""


def test_enter_in_an_empty_list_opens_nothing(qtbot: Any, desk: DeskPage) -> None:
    desk.search.setFocus()
    armed(qtbot, desk.search)
    opened: list[int] = []
    desk.job_wanted.connect(opened.append)
    QTest.keyClicks(desk.search, "zzz")
    assert shown_numbers(desk) == []
    QTest.keyClick(desk.search, Qt.Key.Key_Return)
    # There is no list to go into, so what was typed is still under the hands.
    armed(qtbot, desk.search)
    desk.jobs.setFocus()
    armed(qtbot, desk.jobs)
    QTest.keyClick(desk.jobs, Qt.Key.Key_Return)
    assert opened == []
    desk.search.clear()
    QTest.keyClick(desk.jobs, Qt.Key.Key_Return)
    assert opened == [desk.jobs.current().job.id]


def test_tab_leaves_the_list_instead_of_going_through_its_cells(qtbot: Any, desk: DeskPage) -> None:
    desk.jobs.setFocus()
    armed(qtbot, desk.jobs)
    before = desk.jobs.currentIndex()
    assert before.isValid()
    QTest.keyClick(desk.jobs, Qt.Key.Key_Tab)
    armed(qtbot, desk.whole_history)
    assert desk.jobs.currentIndex() == before
    QTest.keyClick(desk.whole_history, Qt.Key.Key_Tab)
    heading = next(push for push in desk.timeline.findChildren(QPushButton) if push.isVisible())
    armed(qtbot, heading)


def test_the_buttons_and_the_shortcut(qtbot: Any, desk: DeskPage) -> None:
    with qtbot.waitSignal(desk.job_wanted):
        QTest.mouseClick(desk.open_job, Qt.MouseButton.LeftButton)
    with qtbot.waitSignal(desk.new_job_wanted):
        QTest.mouseClick(desk.new_job, Qt.MouseButton.LeftButton)
    desk.search.setFocus()
    armed(qtbot, desk.search)
    with qtbot.waitSignal(desk.new_job_wanted):
        QTest.keyClick(desk.search, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)


def test_an_answer_that_was_overtaken_is_dropped(qtbot: Any, shop: Any) -> None:
    run = Later()
    page = DeskPage(shop, run)
    qtbot.addWidget(page)
    page.search.setText("2433")
    page.search.setText("2407")
    first, second = run.waiting
    second()
    assert shown_numbers(page) == ["2407"]
    first()
    assert shown_numbers(page) == ["2407"]


def test_what_has_not_begun_is_cancelled_when_something_newer_is_asked() -> None:
    class Promise:
        is_cancelled = False

        def cancel(self) -> None:
            self.is_cancelled = True

    given: list[Promise] = []

    def run(work: Callable[[], Any], done: Callable[[Any], None]) -> Any:
        given.append(Promise())
        return given[-1]

    latest = Latest(run)
    latest.ask(lambda: 1, print)
    latest.ask(lambda: 2, print)
    assert [promise.is_cancelled for promise in given] == [True, False]


def test_the_chosen_job_stays_chosen_when_the_list_is_read_again(desk: DeskPage) -> None:
    desk.jobs.choose(2)
    chosen = desk.jobs.current().job.id
    desk.refresh()
    assert desk.jobs.current().job.id == chosen


def test_only_what_is_shown_is_judged_until_more_is_asked_for(
    qtbot: Any, desk: DeskPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.jobs.desk.SHOWN_AT_FIRST", 2)
    desk.search.setText("k")
    desk.search.clear()
    assert len(shown_numbers(desk)) == 2
    assert desk.found.text().startswith("2 of 3 jobs.")
    chosen = desk.jobs.current().job.id
    desk.more.setFocus()
    armed(qtbot, desk.more)
    QTest.keyClick(desk.more, Qt.Key.Key_Space)
    assert len(shown_numbers(desk)) == 3
    assert desk.found.text().startswith("3 jobs.")
    assert desk.more.isHidden()
    assert desk.jobs.current().job.id == chosen
    armed(qtbot, desk.jobs)


def test_a_serial_typed_with_the_wrong_signs_is_found(desk: DeskPage) -> None:
    QTest.keyClicks(desk.search, "K 1I83")
    assert shown_numbers(desk) == ["2611", "2407"]
    desk.search.setText('dunm "quiet* AND OR NEAR(')
    assert shown_numbers(desk) == []
    desk.search.setText('dunm "quiet*')
    assert shown_numbers(desk) == ["2433"]


def test_the_way_to_the_unit_s_page(qtbot: Any, desk: DeskPage) -> None:
    desk.search.setText("2433")
    with qtbot.waitSignal(desk.unit_wanted) as wanted:
        QTest.mouseClick(desk.whole_history, Qt.MouseButton.LeftButton)
    assert wanted.args == [desk.jobs.current().job.id]
    desk.search.setText("zzz")
    assert desk.whole_history.isHidden()
    with qtbot.assertNotEmitted(desk.unit_wanted, wait=20):
        desk.want_unit()


def test_an_empty_logbook_says_how_to_begin(qtbot: Any, empty_workshop: Any) -> None:
    page = DeskPage(empty_workshop, at_once)
    show(qtbot, page)
    assert "New job" in page.found.text()


# -- history -----------------------------------------------------------------------------------------------------------


def test_the_unit_s_visits_stand_along_the_line_newest_first(qtbot: Any, desk: DeskPage) -> None:
    QTest.keyClicks(desk.search, "2407")
    assert [line.number for line in desk.timeline.visits] == ["2611", "2407"]
    assert "2 visits" in desk.unit.text()
    heading = next(push for push in desk.timeline.findChildren(QPushButton) if push.text() == "Job 2611")
    with qtbot.waitSignal(desk.timeline.job_wanted) as opened:
        QTest.mouseClick(heading, Qt.MouseButton.LeftButton)
    assert opened.args == [desk.timeline.visits[0].job_id]
    assert "Whine on the overrun." in heading.accessibleDescription()


def test_a_unit_s_first_visit_says_so(desk: DeskPage) -> None:
    QTest.keyClicks(desk.search, "2433")
    assert desk.unit.text() == "Unit M 77-205, first time here"


def seen(workshop: Any, job: Any, units: str) -> Any:
    history = workshop.history_of_job(job.id)
    return visit(next(one for one in history.visits if one.job.id == job.id), units)


def test_a_visit_shows_what_was_found_in_the_shop_s_units(shop: Any) -> None:
    job = shop.job("2407")
    for angle, text in (("at_000", "0.14"), ("at_090", "0.16"), ("at_180", "0.18"), ("at_270", "0.16")):
        shop.enter(job.id, "teardown", "backlash_found", text, position=angle, person="Tam Ollerby")
    shop.enter(job.id, "teardown", "torque_whole", "9.5 in-lb", person="Tam Ollerby")
    lines = {line.label: line for line in seen(shop, job, "metric").compared}
    assert lines["Mean backlash"].found == "0.160 mm"
    assert lines["Mean backlash"].left == ""
    assert lines["Turning torque"].found == "1.07 N·m"
    assert {line.label: line.found for line in seen(shop, job, "inch").compared}["Turning torque"] == "9.5 lbf·in"
    words = seen(shop, job, "metric").in_words
    assert "Mean backlash: found 0.160 mm, left not measured." in words
    assert "Not signed yet" in words


# -- intake ------------------------------------------------------------------------------------------------------------


def editor(page: NewJobPage, key: str) -> QLineEdit:
    found = page.findChild(QLineEdit, key)
    assert found is not None
    return found


def focused(page: QWidget) -> QWidget:
    return page.window().focusWidget()


def test_a_whole_intake_by_keyboard(qtbot: Any, intake: NewJobPage, shop: Any) -> None:
    armed(qtbot, editor(intake, "serial"))
    assert editor(intake, "number").text() == "2612"
    for text in ("V-0418", "Corrie Stannow", "7 Tarn Row", "farm buggy"):
        QTest.keyClicks(focused(intake), text)
        QTest.keyClick(focused(intake), Qt.Key.Key_Return)
    assert intake.draft().card_id is None
    QTest.keyClick(focused(intake), Qt.Key.Key_Down)
    QTest.keyClick(focused(intake), Qt.Key.Key_Down)
    QTest.keyClick(focused(intake), Qt.Key.Key_Return)
    for text in ("43", "11", "3.91"):
        QTest.keyClicks(focused(intake), text)
        QTest.keyClick(focused(intake), Qt.Key.Key_Return)
    QTest.keyClick(focused(intake), Qt.Key.Key_Right)
    QTest.keyClick(focused(intake), Qt.Key.Key_Return)
    QTest.keyClicks(focused(intake), "Quiet, and documented.")
    with qtbot.waitSignal(intake.job_opened) as opened:
        QTest.keyClick(focused(intake), Qt.Key.Key_Return)
    job = shop.state(opened.args[0]).context.job
    assert (job.number, job.serial, job.customer, job.contact) == ("2612", "V-0418", "Corrie Stannow", "7 Tarn Row")
    assert (job.ring_gear_teeth, job.pinion_teeth, job.tag_ratio) == (43, 11, 3.91)
    assert (job.card.family, job.is_limited_slip, job.opened_by) == ("Orrin B", True, "Tam Ollerby")
    assert job.asked_for == "Quiet, and documented."
    assert editor(intake, "serial").text() == ""
    assert editor(intake, "number").text() == "2613"


def test_the_page_remarks_on_ratio_tag_and_earlier_visits(intake: NewJobPage) -> None:
    for key, text in (("serial", "K-1183"), ("ring_gear_teeth", "43"), ("pinion_teeth", "11"), ("tag_ratio", "3.55")):
        QTest.keyClicks(editor(intake, key), text)
    words = said(intake)
    assert "43 : 11 = 3.909, hunting" in words
    assert "The tag says 3.55" in words
    assert "This unit was here before" in words
    editor(intake, "tag_ratio").setFocus()
    for _ in range(4):
        QTest.keyClick(editor(intake, "tag_ratio"), Qt.Key.Key_Backspace)
    assert "The tag says" not in said(intake)


def test_a_serial_spelt_almost_like_a_known_one_is_asked_about(intake: NewJobPage) -> None:
    QTest.keyClicks(editor(intake, "serial"), "K-I183")
    words = said(intake)
    assert "Unit K-1183 was here before and is spelt almost the same. Is it the same unit?" in words
    assert "This unit was here before" not in words


def test_what_cannot_be_used_is_refused_at_its_field_and_stays(qtbot: Any, intake: NewJobPage, shop: Any) -> None:
    QTest.keyClicks(editor(intake, "serial"), "X-1")
    QTest.keyClicks(editor(intake, "ring_gear_teeth"), "4,3")
    QTest.keyClicks(editor(intake, "pinion_teeth"), "eleven")
    before = len(shop.find_jobs())
    with qtbot.assertNotEmitted(intake.job_opened, wait=20):
        QTest.mouseClick(intake.open_job, Qt.MouseButton.LeftButton)
    fields = intake.form.fields
    assert fields["customer"].refusal == "Customer is missing: type it here."
    assert "4,3" in fields["ring_gear_teeth"].refusal
    assert fields["card_id"].refusal
    assert fields["serial"].refusal == ""
    assert editor(intake, "pinion_teeth").text() == "eleven"
    armed(qtbot, editor(intake, "customer"))
    assert editor(intake, "customer").accessibleDescription() == fields["customer"].refusal
    QTest.keyClicks(editor(intake, "customer"), "P")
    assert fields["customer"].refusal == ""
    assert len(shop.find_jobs()) == before


def fill(page: NewJobPage, **texts: str) -> None:
    page.form.put({"is_limited_slip": "no", **texts})


def test_a_number_taken_is_refused_at_the_number(qtbot: Any, intake: NewJobPage, shop: Any) -> None:
    card = str(shop.cards()[0].id)
    fill(intake, number="2407", serial="A-1", customer="C", card_id=card, ring_gear_teeth="43", pinion_teeth="11")
    with qtbot.assertNotEmitted(intake.job_opened, wait=20):
        QTest.mouseClick(intake.open_job, Qt.MouseButton.LeftButton)
    assert "2407" in intake.form.fields["number"].refusal


def test_what_only_the_logbook_can_refuse_is_said_below_the_form(
    qtbot: Any, intake: NewJobPage, shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise UserError("The disk is full.", "Make room.")

    monkeypatch.setattr(shop, "new_job", full)
    card = str(shop.cards()[0].id)
    fill(intake, number="9", serial="A-1", customer="C", card_id=card, ring_gear_teeth="43", pinion_teeth="11")
    QTest.mouseClick(intake.open_job, Qt.MouseButton.LeftButton)
    assert intake.refusal.text() == "The disk is full. Make room."
    assert editor(intake, "serial").text() == "A-1"


def test_typing_survives_leaving_the_page(qtbot: Any, intake: NewJobPage, shop: Any) -> None:
    QTest.keyClicks(editor(intake, "customer"), "Pim Averlock")
    intake.form.fields["card_id"].put(str(shop.cards()[1].id))
    with qtbot.waitSignal(intake.cancelled):
        QTest.keyClick(intake, Qt.Key.Key_Escape)
    intake.hide()
    intake.show()
    assert editor(intake, "customer").text() == "Pim Averlock"
    assert intake.draft().card_id == shop.cards()[1].id
    QTest.mouseClick(intake.start_over, Qt.MouseButton.LeftButton)
    assert intake.draft() == replace(JobDraft(), number=shop.next_job_number())
    QTest.mouseClick(intake.start_over, Qt.MouseButton.LeftButton)
    assert intake.draft().customer == "Pim Averlock"
    assert intake.draft().card_id == shop.cards()[1].id
    QTest.mouseClick(intake.start_over, Qt.MouseButton.LeftButton)
    QTest.keyClicks(editor(intake, "vehicle"), "x")
    assert intake.start_over.text() == "Empty the form"


def test_without_a_spec_card_the_page_says_so_and_shows_the_way(qtbot: Any, empty_workshop: Any) -> None:
    page = NewJobPage(empty_workshop, at_once)
    show(qtbot, page)
    assert "A job needs a spec card" in said(page)
    assert not page.open_job.isEnabled()
    with qtbot.waitSignal(page.card_wanted):
        QTest.mouseClick(page.add_card, Qt.MouseButton.LeftButton)


@pytest.mark.parametrize("pasted", ["<b>x</b> & <img src='/etc/hosts'>", "x" * 100_000, "Łódź Ж 中 😀"])
def test_whatever_is_pasted_opens_a_job_or_is_refused_in_a_sentence(
    qtbot: Any, intake: NewJobPage, shop: Any, pasted: str
) -> None:
    card = str(shop.cards()[0].id)
    fill(intake, number="77", serial="A-1", customer=pasted, card_id=card, ring_gear_teeth="43", pinion_teeth="11")
    QTest.mouseClick(intake.open_job, Qt.MouseButton.LeftButton)
    if intake.form.fields["customer"].refusal or intake.refusal.text():
        assert editor(intake, "customer").text() == pasted[:32767]
    else:
        assert shop.job("77").customer == pasted


@pytest.fixture(params=[100, 200])
def text_scale(qapp: Any, request: pytest.FixtureRequest) -> Iterator[int]:
    """Put the light theme in force at a text size."""
    theme.apply(qapp, "light", request.param)
    yield request.param
    theme.apply(qapp, "light")


def test_the_desk_passes_the_audit(text_scale: int, desk: DeskPage) -> None:
    desk.jobs.choose(0)
    assert_accessible(desk)
    regions = [desk.top, *(part.parentWidget() for part in (desk.jobs, desk.timeline))]
    assert_visual_order(desk, regions)
    assert_nothing_cut_off(desk)


def test_the_intake_passes_the_audit_full_of_refusals(text_scale: int, intake: NewJobPage) -> None:
    QTest.keyClicks(editor(intake, "serial"), "K-1183")
    QTest.keyClicks(editor(intake, "ring_gear_teeth"), "43")
    QTest.keyClicks(editor(intake, "pinion_teeth"), "11")
    QTest.mouseClick(intake.open_job, Qt.MouseButton.LeftButton)
    QCoreApplication.processEvents()
    assert_accessible(intake)
    assert_visual_order(intake)
    assert_nothing_cut_off(intake)


def test_no_button_is_pressed_by_enter_alone(desk: DeskPage, intake: NewJobPage) -> None:
    for page in (desk, intake):
        for push in page.findChildren(QPushButton):
            assert not push.isDefault()
            assert not push.autoDefault()


# -- panes -------------------------------------------------------------------------------------------------------------


def test_panes_turn_when_the_text_is_large(qtbot: Any, qapp: Any) -> None:
    panes = Panes(QWidget(), QWidget(), 100)
    qtbot.addWidget(panes)
    digit = panes.fontMetrics().horizontalAdvance("0")
    panes.resize(digit * 101, 400)
    panes.show()
    assert panes.is_wide
    panes.resize(digit * 99, 400)
    assert not panes.is_wide
    panes.resize(digit * 101, 400)
    assert panes.is_wide


def test_a_model_without_rows_is_empty_whoever_asks() -> None:
    model = RowsModel(JOB_COLUMNS)
    assert model.rowCount(QModelIndex()) == 0
    assert model.headerData(0, Qt.Orientation.Horizontal) == "Job"
    assert model.headerData(0, Qt.Orientation.Vertical) is None


def test_every_scheme_draws_the_desk(qtbot: Any, qapp: Any, desk: DeskPage) -> None:
    try:
        for scheme in theme.SCHEMES:
            theme.apply(qapp, scheme, 200)
            assert not desk.grab().isNull()
    finally:
        theme.apply(qapp, "light")
