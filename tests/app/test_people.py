"""People in the window: who is at the bench, PINs asked for in the page, roles, and what was done in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order, visible_texts
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit, QPushButton, QWidget
from told import course

from app import theme
from app.bench.page import BenchPage
from app.cli import run
from app.jobs.panes import Panes
from app.people.at_bench import AtBench
from app.people.pin_line import PinLine
from app.people.section import PeopleSection
from app.people.telling import SENTENCES, told
from app.people.trail import TrailSection, line_of, machine
from app.settings import Settings
from app.window import Window
from core import language
from core.errors import LogbookError, PinError
from core.facts import TrailEntry
from core.records import open_logbook, tables
from core.records.trail_verbs import TOLD_WITH_ANOTHER
from core.workshop import Workshop

OWNER, BENCH, OTHER, PIN = "Wren Hask", "Tam Ollerby", "Jory Pell", "2580"


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, modifier)


def type_text(text: str) -> None:
    QTest.keyClicks(QApplication.focusWidget(), text)


def enter(text: str) -> None:
    type_text(text)
    press(Qt.Key.Key_Return)


def shown(qtbot: Any, widget: Any, width: int = 1280, height: int = 800) -> Any:
    widget.resize(width, height)
    qtbot.addWidget(widget)
    with qtbot.waitExposed(widget):
        widget.show()
    widget.activateWindow()
    return widget


# -- the line that asks for a PIN --------------------------------------------------------------------------------------


class Seconds:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def seconds() -> Seconds:
    return Seconds()


@pytest.fixture
def line(qtbot: Any, seconds: Seconds) -> PinLine:
    made: PinLine = shown(qtbot, PinLine("Sign with this PIN", seconds), 600, 200)
    made.ask(BENCH)
    return made


def test_what_is_typed_as_a_pin_is_not_shown(line: PinLine) -> None:
    line.setFocus()
    type_text(PIN)
    assert line.text() == PIN
    assert PIN not in line.editor.displayText()
    assert line.editor.accessibleName() == f"PIN of {BENCH}"
    assert_accessible(line)


def test_a_wait_is_counted_down_and_said_to_who_listens(line: PinLine, seconds: Seconds) -> None:
    line.refuse(PinError("This is not the PIN of Tam Ollerby.", "Wait.", 5.0))
    told_first = line.refusal.text()
    assert told_first == "This is not the PIN of Tam Ollerby. Wait 5 s, then type it again."
    seconds.now += 3.5
    line._tick.timeout.emit()
    assert "Wait 2 s" in line.refusal.text()
    assert line.editor.accessibleDescription() == line.refusal.text()
    seconds.now += 2
    line._tick.timeout.emit()
    assert line.refusal.text() == "This is not the PIN of Tam Ollerby. Type it again."
    assert not line._tick.isActive()


def test_the_next_key_begins_a_refused_pin_anew(line: PinLine, qtbot: Any) -> None:
    line.setFocus()
    type_text("9999")
    line.refuse(PinError("This is not the PIN.", "Type it again."))
    type_text("2")
    assert line.text() == "2"


def test_nothing_of_a_pin_is_kept_once_it_is_put_away_or_asked_of_another(line: PinLine) -> None:
    line.editor.setText(PIN)
    line.ask(OTHER)
    assert line.text() == ""
    line.editor.setText(PIN)
    line.put_away()
    assert line.text() == ""
    assert not line.isVisible()


# -- who is at the bench -----------------------------------------------------------------------------------------------


@pytest.fixture
def settings() -> Settings:
    return Settings(person=BENCH)


@pytest.fixture
def make_window(qtbot: Any, qapp: QApplication) -> Iterator[Callable[..., Window]]:
    made: list[Window] = []

    def make(workshop: Any, settings: Settings) -> Window:
        theme.apply(qapp, "light", 100)
        made.append(shown(qtbot, Window(workshop, settings)))
        return made[-1]

    yield make
    for window in made:
        window.close()


@pytest.fixture
def window(make_window: Callable[..., Window], workshop: Any, settings: Settings) -> Window:
    return make_window(workshop, settings)


def open_by_keyboard(window: Window) -> AtBench:
    window.people_menu.change.trigger()
    return window.at_bench


def test_who_is_at_the_bench_stands_above_every_page(window: Window, job: Any) -> None:
    for show in (window.show_desk, window.show_new_job, window.show_shop, window.show_calculators):
        show()
        assert window.at_bench.button.isVisible()
        assert window.at_bench.button.text() == f"At the bench: {BENCH}"
    window.open_job(job.id)
    assert window.at_bench.button.isVisible()
    assert window.at_bench.button.focusPolicy() & Qt.FocusPolicy.TabFocus
    assert window.menuBar().isAncestorOf(window.at_bench.button)


def test_the_name_has_its_room_in_the_bar_however_long_it_is(window: Window, workshop: Any) -> None:
    workshop.add_person("Bartholomew Quillfeather-Ashdown of the upper bench", by=OWNER)
    window.at_bench.choose("Bartholomew Quillfeather-Ashdown of the upper bench")
    QCoreApplication.processEvents()
    button = window.at_bench.button
    assert button.width() >= button.sizeHint().width()
    assert window.menuBar().rect().contains(button.geometry())


def test_who_has_no_pin_comes_by_keyboard_alone(window: Window, settings: Settings, qtbot: Any) -> None:
    window.show_desk()
    qtbot.waitUntil(window.desk.search.hasFocus)
    panel = open_by_keyboard(window)
    assert panel.isVisible()
    press(Qt.Key.Key_Right)
    with qtbot.waitSignal(panel.changed):
        press(Qt.Key.Key_Return)
    assert settings.person == OTHER
    assert panel.button.text() == f"At the bench: {OTHER}"
    assert not panel.isVisible()
    assert window.desk.search.hasFocus(), "one goes on where one was"


def test_who_has_a_pin_gives_it_in_the_page(window: Window, workshop: Any, settings: Settings, clock: Any) -> None:
    workshop.set_pin(OTHER, "", PIN)
    panel = open_by_keyboard(window)
    press(Qt.Key.Key_Right)
    assert panel.pin.isVisible()
    press(Qt.Key.Key_Return)
    assert panel.pin.editor.hasFocus()
    enter("9999")
    assert "not the PIN of Jory Pell" in panel.pin.refusal.text()
    assert settings.person == BENCH
    enter(PIN)
    assert settings.person == OTHER
    assert panel.pin.text() == ""


def test_after_three_wrong_ones_the_wait_is_told(window: Window, workshop: Any, settings: Settings, clock: Any) -> None:
    workshop.set_pin(OTHER, "", PIN)
    workshop._clock = workshop._logbook._clock = lambda: clock.now
    panel = window.at_bench
    panel.choose(OTHER)
    for _ in range(3):
        enter("9999")
    assert "Wait 5 s" in panel.pin.refusal.text()
    enter(PIN)
    assert "Wait 5 s" in panel.pin.refusal.text()
    assert settings.person == BENCH
    clock.now += timedelta(seconds=5)
    enter(PIN)
    assert settings.person == OTHER


def test_escape_leaves_it_as_it_is(window: Window, workshop: Any, settings: Settings) -> None:
    workshop.set_pin(OTHER, "", PIN)
    panel = open_by_keyboard(window)
    press(Qt.Key.Key_Right)
    press(Qt.Key.Key_Escape)
    assert not panel.isVisible()
    panel.choose(OTHER)
    type_text("25")
    press(Qt.Key.Key_Escape)
    assert not panel.isVisible()
    assert settings.person == BENCH


def test_one_may_leave_the_bench_to_nobody(window: Window, settings: Settings) -> None:
    panel = open_by_keyboard(window)
    press(Qt.Key.Key_Left)
    press(Qt.Key.Key_Return)
    assert settings.person == ""
    assert panel.button.text() == "Say who is at the bench"


def test_a_click_on_a_name_is_enough_without_a_pin(window: Window, settings: Settings, qtbot: Any) -> None:
    qtbot.mouseClick(window.at_bench.button, Qt.MouseButton.LeftButton)
    other = next(push for push in window.at_bench.names.buttons if push.text() == OTHER)
    qtbot.mouseClick(other, Qt.MouseButton.LeftButton)
    assert settings.person == OTHER


def test_the_menu_asks_for_the_pin_too(window: Window, workshop: Any, settings: Settings) -> None:
    workshop.set_pin(OTHER, "", PIN)
    window.people_menu.list_people()
    action = next(action for action in window.people_menu.people.actions() if action.text() == OTHER)
    action.trigger()
    assert settings.person == BENCH
    assert window.at_bench.pin.isVisible()
    enter(PIN)
    assert settings.person == OTHER


def test_who_was_there_last_and_has_a_pin_gives_it_anew(
    make_window: Callable[..., Window], workshop: Any, settings: Settings
) -> None:
    workshop.set_pin(BENCH, "", PIN)
    window = make_window(workshop, settings)
    assert settings.person == ""
    assert window.at_bench.button.text() == "Say who is at the bench"
    window.at_bench.ask_if_needed()
    assert window.at_bench.pin.prompt.text() == f"PIN of {BENCH}"
    enter(PIN)
    assert settings.person == BENCH


def test_who_left_or_was_never_here_is_not_at_the_bench(
    make_window: Callable[..., Window], workshop: Any, window: Window, settings: Settings
) -> None:
    assert make_window(workshop, Settings(person="Pim Averlock")).settings.person == ""
    gone = next(person for person in workshop.people() if person.name == BENCH)
    workshop.put_active(gone.id, False, OWNER)
    window.shop.changed.emit()
    assert settings.person == ""
    open_by_keyboard(window)
    assert BENCH not in visible_texts(window.at_bench)


def test_who_was_sent_away_at_another_bench_is_not_at_this_one_either(
    window: Window, workshop: Any, settings: Settings, qtbot: Any
) -> None:
    with open_logbook(workshop.location, clock=workshop._clock) as logbook:
        there = Workshop(logbook, workshop._clock)
        there.put_active(person(there, BENCH).id, False, OWNER)
        qtbot.waitUntil(lambda: settings.person == "", timeout=5000)
    assert window.at_bench.button.text() == "Say who is at the bench"


def test_while_nobody_is_entered_the_way_to_add_people_is_shown(
    make_window: Callable[..., Window], empty_workshop: Any
) -> None:
    window = make_window(empty_workshop, Settings())
    window.at_bench.button.click()
    assert window.pages.currentWidget() is window.shop
    assert window.shop.people.isVisible()
    assert "begin with yourself" in window.shop.people.count.text()


def test_what_is_half_typed_is_not_stored_under_the_wrong_name(
    window: Window, workshop: Any, job: Any, qtbot: Any
) -> None:
    window.open_job(job.id)
    qtbot.waitUntil(lambda: window.bench.isAncestorOf(QApplication.focusWidget()))
    type_text("0.14")
    panel = open_by_keyboard(window)
    press(Qt.Key.Key_Right)
    press(Qt.Key.Key_Return)
    assert workshop.state(job.id).context.readings == ()
    assert not panel.isVisible()
    press(Qt.Key.Key_Return)
    (reading,) = workshop.state(job.id).context.readings
    assert (reading.text, reading.person) == ("0.14", OTHER)


@pytest.mark.parametrize("scale", [100, 150, 200])
def test_the_panel_passes_the_audit(window: Window, workshop: Any, qapp: QApplication, qtbot: Any, scale: int) -> None:
    workshop.set_pin(OTHER, "", PIN)
    theme.apply(qapp, "dark", scale)
    window.at_bench.choose(OTHER)
    for _ in range(3):
        enter("9999")
    qtbot.wait(50)
    assert_accessible(window.at_bench)
    assert_visual_order(window.at_bench)
    assert_nothing_cut_off(window.at_bench)
    theme.apply(qapp, "light", 100)


# -- signing -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def bench(qtbot: Any, qapp: QApplication, workshop: Any, job: Any, settings: Settings, clock: Any) -> Iterator[Any]:
    """Return the last stage of a job that is ready to be signed."""
    theme.apply(qapp, "light", 100)
    for (stage, entry, position, trial), text in course("orrin").items():
        workshop.record(job.id, stage, entry, text, position=position, trial=trial, person=BENCH)
    page = shown(qtbot, BenchPage(workshop, settings, lambda: clock.now))
    page.show_job(job.id)
    page.turn_to("fill")
    yield page
    page.close()


def test_who_has_no_pin_signs_with_one_push(bench: Any, workshop: Any, job: Any) -> None:
    end = bench._page.end
    end.sign.click()
    assert not end.pin.isVisible()
    assert end.signed.text().startswith(f"Signed by {BENCH} on ")
    assert workshop.job("2407").signed_by == BENCH


def test_signing_asks_the_pin_in_the_page(bench: Any, workshop: Any, job: Any, qtbot: Any) -> None:
    workshop.set_pin(BENCH, "", PIN)
    end = bench._page.end
    end.sign.setFocus()
    press(Qt.Key.Key_Space)
    assert end.pin.editor.hasFocus()
    assert end.pin.refusal.text() == "", "being asked is no reproach"
    assert not end.sign.isVisible()
    enter("9999")
    assert "not the PIN of Tam Ollerby" in end.pin.refusal.text()
    assert workshop.job("2407").signed_at is None
    assert_accessible(bench)
    enter(PIN)
    assert workshop.job("2407").signed_with_pin
    assert end.signed.text().startswith(f"Signed by {BENCH} with PIN on ")
    assert not end.pin.isVisible()
    assert end.pin.text() == ""


def test_escape_gives_signing_up(bench: Any, workshop: Any) -> None:
    workshop.set_pin(BENCH, "", PIN)
    end = bench._page.end
    end.sign.click()
    type_text("25")
    press(Qt.Key.Key_Escape)
    assert end.sign.isVisible() and end.sign.hasFocus()
    assert end.pin.text() == ""
    assert workshop.job("2407").signed_at is None


def test_a_half_typed_pin_does_not_wander_to_who_comes_next(bench: Any, workshop: Any, settings: Settings) -> None:
    workshop.set_pin(BENCH, "", PIN)
    end = bench._page.end
    end.sign.click()
    type_text("25")
    bench.person_changed()
    assert end.pin.text() == "25", "the same person goes on typing"
    settings.person = OTHER
    bench.person_changed()
    assert end.pin.text() == "" and not end.pin.isVisible()
    assert end.sign.text() == f"Sign off as {OTHER}"


@pytest.mark.parametrize("scale", [100, 150])
def test_the_pin_s_line_has_its_room(bench: Any, workshop: Any, qapp: QApplication, qtbot: Any, scale: int) -> None:
    workshop.set_pin(BENCH, "", PIN)
    theme.apply(qapp, "dark", scale)
    bench.theme_changed()
    bench._page.end.sign.click()
    enter("9999")
    qtbot.wait(300)
    assert_nothing_cut_off(bench._page.end)
    editor, area = bench._page.end.pin.editor, bench._body._left_area
    qtbot.waitUntil(lambda: area.viewport().rect().contains(editor.mapTo(area.viewport(), editor.rect().center())))
    theme.apply(qapp, "light", 100)


# -- the people section ------------------------------------------------------------------------------------------------


@pytest.fixture
def at_bench() -> dict[str, str]:
    """Return who is at the bench, to be changed by a test."""
    return {"name": OWNER}


@pytest.fixture
def section(qtbot: Any, qapp: QApplication, workshop: Any, at_bench: dict[str, str]) -> PeopleSection:
    theme.apply(qapp, "light", 100)
    return shown(qtbot, PeopleSection(workshop, lambda: at_bench["name"]))  # type: ignore[no-any-return]


def editor(section: QWidget, key: str) -> QLineEdit:
    found = section.findChild(QLineEdit, key)
    assert found is not None
    return found


def person(workshop: Any, name: str) -> Any:
    return next(person for person in workshop.people() if person.name == name)


def choose(section: PeopleSection, name: str) -> None:
    section.list.choose([person.name for person in section.list.rows_model.rows].index(name))


def test_whoever_is_at_the_bench_is_shown_first(section: PeopleSection, at_bench: dict[str, str]) -> None:
    assert section.chosen.name.text() == OWNER
    assert section.chosen.own_pin.isVisible()
    at_bench["name"] = BENCH
    section.refresh()
    assert section.chosen.name.text() == BENCH
    choose(section, OTHER)
    section.refresh()
    assert section.chosen.name.text() == OTHER


def test_a_person_is_added_by_keyboard(section: PeopleSection, workshop: Any, qtbot: Any) -> None:
    editor(section, "name").setFocus()
    enter("Ferrin Aldous")
    press(Qt.Key.Key_Right)
    with qtbot.waitSignal(section.kept):
        press(Qt.Key.Key_Return)
    assert (workshop.people()[-1].name, workshop.people()[-1].role) == ("Ferrin Aldous", "owner")
    assert section.answer.text() == "Added: Ferrin Aldous."
    assert section.chosen.name.text() == "Ferrin Aldous"
    assert editor(section, "name").hasFocus()
    assert editor(section, "name").text() == ""


@pytest.mark.parametrize(
    ("name", "why"), [("", "missing"), ("tam ollerby", "taken already"), ("x\x00y", "control character")]
)
def test_a_name_that_cannot_be_is_refused_at_its_field(
    section: PeopleSection, workshop: Any, name: str, why: str
) -> None:
    before = workshop.people()
    editor(section, "name").setText(name)
    section.push.click()
    assert why in section.form.fields["name"].refusal
    assert editor(section, "name").text() == name
    assert workshop.people() == before


def test_who_is_no_owner_is_told_so_and_nothing_typed_is_lost(
    section: PeopleSection, workshop: Any, at_bench: dict[str, str]
) -> None:
    at_bench["name"] = BENCH
    section.refresh()
    choose(section, OTHER)
    assert not section.chosen.role.isVisible()
    assert "for the owner to change" in section.chosen.facts.text()
    editor(section, "name").setText("Ferrin Aldous")
    section.push.click()
    assert section.answer.text().startswith("Only the owner may do this.")
    assert editor(section, "name").text() == "Ferrin Aldous"


def test_what_only_the_logbook_refuses_is_said_below_the_form(
    section: PeopleSection, workshop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise LogbookError("The disk is full.", "Make room.")

    monkeypatch.setattr(workshop, "add_person", full)
    editor(section, "name").setText("Ferrin Aldous")
    section.push.click()
    assert section.answer.text() == "The disk is full. Make room."


def test_one_sets_his_own_pin_by_keyboard(section: PeopleSection, workshop: Any, qtbot: Any) -> None:
    assert not editor(section, "old_pin").isVisible()
    editor(section, "new_pin").setFocus()
    enter(PIN)
    with qtbot.waitSignal(section.kept):
        enter(PIN)
    assert person(workshop, OWNER).has_pin
    assert section.chosen.own_pin.answer.text().startswith("Your PIN is set")
    assert editor(section, "old_pin").isVisible()
    assert [editor(section, key).text() for key in ("old_pin", "new_pin", "again")] == ["", "", ""]
    for key in ("old_pin", "new_pin", "again"):
        assert editor(section, key).echoMode() == QLineEdit.EchoMode.Password
    editor(section, "old_pin").setFocus()
    enter(PIN)
    enter("1470")
    enter("1470")
    assert workshop.come_to_bench(OWNER, "1470")


PINS = {
    "unlike": ("", "2580", "2581", "again", "not alike"),
    "easy": ("", "1111", "1111", "new_pin", "first anybody would try"),
    "short": ("", "258", "258", "new_pin", "4 to 12 digits"),
    "none": ("", "", "", "new_pin", "missing"),
    "wrong old": ("9999", "1470", "1470", "old_pin", "not the PIN"),
    "no old": ("", "1470", "1470", "old_pin", "missing"),
}


@pytest.mark.parametrize("what", PINS)
def test_a_pin_is_refused_at_its_field_and_stays_as_typed(section: PeopleSection, workshop: Any, what: str) -> None:
    old, new, again, field, why = PINS[what]
    if "old" in what:
        workshop.set_pin(OWNER, "", PIN)
        section.refresh()
    form = section.chosen.own_pin.form
    form.put({"old_pin": old, "new_pin": new, "again": again})
    section.chosen.own_pin.push.click()
    assert {key for key, shown in form.fields.items() if shown.refusal} == {field}
    assert why in form.fields[field].refusal
    assert form.values() == {"old_pin": old, "new_pin": new, "again": again}
    assert person(workshop, OWNER).has_pin == ("old" in what)


def test_a_pin_half_typed_is_gone_when_another_is_looked_at(section: PeopleSection) -> None:
    editor(section, "new_pin").setText(PIN)
    choose(section, BENCH)
    assert not section.chosen.own_pin.isVisible()
    choose(section, OWNER)
    assert editor(section, "new_pin").text() == ""


def test_the_owner_takes_a_lost_pin_away(section: PeopleSection, workshop: Any) -> None:
    workshop.set_pin(BENCH, "", PIN)
    section.refresh()
    choose(section, BENCH)
    section.chosen.reset.setFocus()
    press(Qt.Key.Key_Space)
    assert not person(workshop, BENCH).has_pin
    assert section.chosen.answer.text() == "Tam Ollerby: works at the bench, signs with name alone."
    assert not section.chosen.reset.isVisible()


def test_the_owner_changes_roles_and_who_works_here(section: PeopleSection, workshop: Any) -> None:
    choose(section, BENCH)
    section.chosen.role.click()
    assert person(workshop, BENCH).role == "owner"
    assert section.chosen.role.text() == "No longer an owner"
    section.chosen.role.click()
    section.chosen.leave.click()
    assert not person(workshop, BENCH).is_active
    row = section.list.rows_model.rows.index(person(workshop, BENCH))
    assert section.list.rows_model.index(row, 1).data() == "works here no longer"
    assert section.chosen.leave.text() == "Works here again"
    assert not section.chosen.role.isVisible()
    section.chosen.leave.click()
    assert person(workshop, BENCH).is_active


def test_the_last_owner_is_told_why_not(section: PeopleSection, workshop: Any) -> None:
    for push in (section.chosen.leave, section.chosen.role):
        push.click()
        assert "is the only owner" in section.chosen.answer.text()
    assert person(workshop, OWNER).is_active


def test_what_another_bench_changed_meanwhile_is_shown_before_it_is_changed_again(
    section: PeopleSection, workshop: Any
) -> None:
    choose(section, BENCH)
    workshop.change_role(person(workshop, BENCH).id, "owner", OWNER)
    section.chosen.leave.click()
    assert "changed this meanwhile" in section.chosen.answer.text()
    assert person(workshop, BENCH).is_active
    assert section.chosen.role.text() == "No longer an owner"
    section.chosen.leave.click()
    assert not person(workshop, BENCH).is_active


@pytest.mark.parametrize("scale", [100, 150, 200])
@pytest.mark.parametrize("name", [OWNER, BENCH])
def test_the_section_passes_the_audit_full_of_refusals(
    qtbot: Any, qapp: QApplication, workshop: Any, name: str, scale: int
) -> None:
    theme.apply(qapp, "light", scale)
    for each in (OWNER, BENCH):
        workshop.set_pin(each, "", PIN)
    section = shown(qtbot, PeopleSection(workshop, lambda: name), 1400, 900)
    section.push.click()
    section.chosen.own_pin.form.put({"old_pin": "9999", "new_pin": "1470", "again": "1470"})
    section.chosen.own_pin.push.click()
    qtbot.wait(50)
    assert section.chosen.own_pin.form.fields["old_pin"].refusal
    assert_accessible(section)
    assert_visual_order(section, list(section.findChild(Panes).panes))
    assert_nothing_cut_off(section)
    for push in section.findChildren(QPushButton):
        assert not push.isDefault() and not push.autoDefault()
    theme.apply(qapp, "light", 100)


def test_names_are_never_read_as_markup(section: PeopleSection, workshop: Any) -> None:
    workshop.add_person("<b>Bold</b>", by=OWNER)
    section.refresh()
    choose(section, "<b>Bold</b>")
    for label in section.findChildren(QLabel):
        assert label.textFormat() == Qt.TextFormat.PlainText


# -- what was done -----------------------------------------------------------------------------------------------------


@pytest.fixture
def trail(qtbot: Any, qapp: QApplication, workshop: Any, job: Any) -> TrailSection:
    theme.apply(qapp, "light", 100)
    workshop.record(job.id, "teardown", "backlash_found", "5.5 thou", position="at_000", person=BENCH)
    workshop.record(job.id, "teardown", "backlash_found", "0.14", position="at_000", person=OTHER, reason="read anew")
    workshop.set_pin(BENCH, "", PIN)
    return shown(qtbot, TrailSection(workshop))  # type: ignore[no-any-return]


def said(trail: TrailSection) -> list[tuple[str, str, str]]:
    return [(line.who, line.what, line.job) for line in trail.list.rows_model.rows]


def test_what_was_done_is_told_newest_first(trail: TrailSection) -> None:
    assert said(trail)[:4] == [
        (BENCH, "Tam Ollerby set a PIN.", ""),
        (
            OTHER,
            "Teardown, Backlash as found, 0°: 0.140 mm, instead of what stood there. Reason: read anew",
            "2407",
        ),
        (BENCH, "Teardown, Backlash as found, 0°: 5.5 thou", "2407"),
        (BENCH, "Opened the job for unit K-1183.", "2407"),
    ]


def test_the_chosen_line_is_told_in_full_with_its_bench(trail: TrailSection, workshop: Any) -> None:
    trail.list.setFocus()
    press(Qt.Key.Key_Down)
    assert "read anew" in trail.full.text()
    assert "job 2407" in trail.full.text()
    assert workshop._logbook.bench in trail.full.text()


def test_the_earlier_is_shown_page_by_page(trail: TrailSection, workshop: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = [line.what for line in map(line_of, workshop.trail(1000)) if line.what]
    monkeypatch.setattr("app.people.trail.PAGE", 60)
    trail.refresh()
    assert len(said(trail)) < len(whole)
    while trail.earlier.isVisible():
        trail.earlier.setFocus()
        press(Qt.Key.Key_Space)
    assert [what for _, what, _ in said(trail)] == whole


def test_anybody_reads_it_as_it_is_now(trail: TrailSection, workshop: Any) -> None:
    trail.hide()
    workshop.reset_pin(person(workshop, BENCH).id, OWNER)
    trail.show()
    assert said(trail)[0] == (OWNER, "Took the PIN of Tam Ollerby away.", "")


@pytest.mark.parametrize("scale", [100, 200])
def test_the_trail_passes_the_audit(trail: TrailSection, qapp: QApplication, qtbot: Any, scale: int) -> None:
    theme.apply(qapp, "dark", scale)
    qtbot.wait(50)
    assert_accessible(trail)
    assert_visual_order(trail)
    assert_nothing_cut_off(trail)
    theme.apply(qapp, "light", 100)


def test_every_table_that_changes_has_a_sentence(workshop: Any) -> None:
    changing = {name for name in tables.metadata.tables if name != "trail"} - set(TOLD_WITH_ANOTHER)
    assert {table for table, _ in SENTENCES} == changing


@pytest.mark.parametrize(
    ("places", "sizes"),
    [
        ("A3, B1", "2.500 mm on the ring-gear side, 2.4512 mm on the opposite side (A3, B1)"),
        ("", "2.500 mm on the ring-gear side, 2.4512 mm on the opposite side"),
    ],
)
def test_what_was_advised_is_told_with_its_pair_and_chance(
    workshop: Any, clock: Any, job: Any, places: str, sizes: str
) -> None:
    with workshop._logbook.work(by=BENCH, doing="record") as work:
        work.note_advised(
            job.id, "preload", 2, ring_gear_side_mm=2.5, opposite_side_mm=2.4512, places=places, chance=0.837,
            expected=0.7, low=0.5, high=1.0, at=clock.now, person=BENCH,
        )  # fmt: skip
        work.commit()
    newest = workshop.trail(1)[0]
    assert told(newest) == f"Advised for Preload, trial 2: {sizes}. Chance that it conforms: 84 %."
    assert newest.job_number == job.number


def test_what_has_no_sentence_is_told_all_the_same(clock: Any) -> None:
    entry = TrailEntry(7, clock.now, "b", BENCH, "mend", None, "changed", "unit", 3, {}, "")
    assert told(entry) == "mend: unit 3 changed."
    old = {"stage": "gone", "entry": "magnet", "position": "p", "trial": 0, "text": "x", "replaces": None, "reason": ""}
    assert told(TrailEntry(7, clock.now, "b", BENCH, "record", 1, "added", "reading", 3, old, "")) == "gone magnet p: x"


PEOPLE_ACTS: dict[str, Callable[[Any, int], object]] = {
    "Added Ferrin Aldous: works at the bench.": lambda shop, who: shop.add_person("Ferrin Aldous", by=OWNER),
    "Tam Ollerby is now: owner.": lambda shop, who: shop.change_role(who, "owner", OWNER),
    "Tam Ollerby works here no longer.": lambda shop, who: shop.put_active(who, False, OWNER),
    "Tam Ollerby set a PIN.": lambda shop, who: shop.set_pin(BENCH, PIN, "1470"),
    "Took the PIN of Tam Ollerby away.": lambda shop, who: shop.reset_pin(who, OWNER),
}


@pytest.mark.parametrize("sentence", PEOPLE_ACTS)
def test_what_is_done_with_people_in_words(workshop: Any, sentence: str) -> None:
    workshop.set_pin(BENCH, "", PIN)
    PEOPLE_ACTS[sentence](workshop, person(workshop, BENCH).id)
    assert told(workshop.trail(1)[0]) == sentence


def test_wrong_pins_are_told_whatever_they_were_typed_for(workshop: Any) -> None:
    workshop.set_pin(BENCH, "", PIN)
    for verb in (lambda: workshop.come_to_bench(BENCH, "9999"), lambda: workshop.set_pin(BENCH, "9999", "1470")):
        with pytest.raises(PinError):
            verb()
    assert [told(entry) for entry in workshop.trail(2)] == [
        "A wrong PIN for Tam Ollerby, 2 in a row.",
        "A wrong PIN for Tam Ollerby, 1 in a row.",
    ]
    workshop.come_to_bench(BENCH, PIN)
    assert told(workshop.trail(1)[0]) == "The right PIN for Tam Ollerby after wrong ones."


def test_a_signature_says_whether_the_pin_was_given(bench: Any, workshop: Any) -> None:
    workshop.sign(1, BENCH)
    assert told(workshop.trail(1)[0]) == "Signed as revision 1, by name."
    workshop.reopen(1, OWNER, "misspelt")
    assert told(workshop.trail(1)[0]) == "Reopened as revision 2: misspelt"
    workshop.set_pin(BENCH, "", PIN)
    workshop.sign(1, BENCH, PIN)
    assert told(workshop.trail(1)[0]) == "Signed as revision 2, with the PIN."


def test_the_only_owner_s_pin_is_forgotten_on_the_command_line(
    workshop: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    workshop.set_pin(OWNER, "", PIN)
    assert run(["--logbook", workshop.location, "forget-pin", BENCH]) == 2
    assert "not the only owner" in capsys.readouterr().err
    assert run(["--logbook", workshop.location, "forget-pin", OWNER]) == 0
    assert "Wren Hask has no PIN now" in capsys.readouterr().out
    assert not person(workshop, OWNER).has_pin
    assert told(workshop.trail(1)[0]) == "Took the PIN of Wren Hask, the only owner, away on the command line."


# -- every word ------------------------------------------------------------------------------------------------------


def test_no_word_of_ours_escapes_the_translation(qtbot: Any, workshop: Any, job: Any, settings: Settings) -> None:
    names = {BENCH, OWNER, OTHER, "2407", workshop._logbook.bench, machine(workshop._logbook.bench)}
    workshop.set_pin(OTHER, "", PIN)
    language.use_translation(lambda text: f"⟦{text}⟧")
    try:
        made = [AtBench(workshop, settings), PeopleSection(workshop, lambda: BENCH), TrailSection(workshop)]
        for widget in made:
            shown(qtbot, widget)
        made[0].choose(OTHER)
        for widget in made:
            texts = [text for text in visible_texts(widget) if text not in names]
            assert texts and [text for text in texts if "⟦" not in text] == []
        entries = workshop.trail(1000)
        assert [told(entry) for entry in entries if told(entry) and "⟦" not in told(entry)] == []
    finally:
        language.use_translation(None)
