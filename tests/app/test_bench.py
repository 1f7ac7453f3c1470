"""The bench by keyboard: readings kept before the field is calm, nothing lost, every stage from its declarations."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from functools import partial
from itertools import pairwise
from typing import Any

import pytest
from audit import (
    assert_accessible,
    assert_nothing_cut_off,
    assert_visual_order,
    visible_texts,
)
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app import theme
from app.bench.lines import trial_words
from app.bench.page import BenchPage
from app.bench.plan import plan
from app.settings import Settings
from app.widgets import EntryField
from core import language
from core.stages import STAGES, registry
from core.stages.entry import Entry
from core.verdict import Answer

PERSON = "Tam Ollerby"
STAGE_KEYS = [stage.key for stage in STAGES]


@pytest.fixture
def settings(workshop: Any) -> Settings:
    kept = Settings(person=PERSON)
    for gauge in workshop.gauges():
        kept.gauges.setdefault(gauge.use, gauge.id)
    return kept


@pytest.fixture
def bench(
    qtbot: Any, qapp: QApplication, workshop: Any, job: Any, settings: Settings, clock: Any
) -> Iterator[BenchPage]:
    theme.apply(qapp, "light", 100)
    # The bench reads the clock without moving it on: the story moves on with each reading.
    page = BenchPage(workshop, settings, lambda: clock.now)
    qtbot.addWidget(page)
    page.resize(1280, 800)
    with qtbot.waitExposed(page):
        page.show()
    page.activateWindow()
    page.show_job(job.id)
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
    yield page
    page.close()


def armed(bench: BenchPage) -> EntryField:
    """Return the field the focus is in."""
    now = QApplication.focusWidget()
    return next(field for field in bench.column.fields() if now is not None and field.isAncestorOf(now))


def type_text(text: str) -> None:
    QTest.keyClicks(QApplication.focusWidget(), text)


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, modifier)


def enter(text: str) -> None:
    type_text(text)
    press(Qt.Key.Key_Return)


def arm(bench: BenchPage, entry: str, position: str = "", trial: int = 0) -> EntryField:
    field = bench.column.field(entry, position, trial)
    field.setFocus(Qt.FocusReason.OtherFocusReason)
    return field


def standing(workshop: Any, job: Any, stage: str, entry: str, position: str = "", trial: int = 0) -> Any:
    return workshop.state(job.id).context.reading(stage, entry, position, trial)


# -- made from the declarations ----------------------------------------------------------------------------------------


def test_a_stage_shows_every_place_of_its_entries_in_order(bench: BenchPage, job: Any) -> None:
    for stage in STAGES:
        bench.turn_to(stage.key)
        shown = [(field.entry.key, field.position.key) for field in bench.column.fields()]
        wanted = [(e.key, p.key) for e in stage.entries if e.applies(job) for p in e.positions]
        assert sorted(shown) == sorted(wanted)
        outside = [place for place in shown if not stage.entry(place[0]).is_trial]
        assert outside == [place for place in wanted if not stage.entry(place[0]).is_trial]


def test_a_new_entry_is_on_the_page_without_any_other_change(
    bench: BenchPage, workshop: Any, job: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    entry = Entry("magnet_pull", "Pull of the magnet", "force", "n", needed=0, highest=500.0, help="Pull it off.")
    fill = registry.stage("fill")
    monkeypatch.setattr(registry, "STAGES", list(registry.STAGES))
    registry.register(replace(fill, entries=(entry, *fill.entries)))
    bench.show_job(job.id)
    bench.turn_to("fill")
    arm(bench, "magnet_pull")
    enter("2 kgf")
    assert standing(workshop, job, "fill", "magnet_pull").value == pytest.approx(19.6133)


# -- readings ----------------------------------------------------------------------------------------------------------


def test_a_reading_is_in_the_logbook_before_the_field_is_calm(bench: BenchPage, workshop: Any, job: Any) -> None:
    first = armed(bench)
    assert first.key == ("backlash_found", "at_000", 0)
    enter("0.14")
    kept = standing(workshop, job, "teardown", "backlash_found", "at_000")
    assert (kept.text, kept.value, kept.person) == ("0.14", 0.14, PERSON)
    assert first.property("is_saved") is True
    assert first.word.text() == "does not conform"
    assert armed(bench).key == ("backlash_found", "at_045", 0)


def test_units_of_the_gauge_are_taken_as_they_are(bench: BenchPage, workshop: Any, job: Any) -> None:
    enter("5.5 thou")
    assert standing(workshop, job, "teardown", "backlash_found", "at_000").value == pytest.approx(0.1397)
    assert bench.column.field("backlash_found", "at_000").echo.text() == "= 0.1397 mm"


def test_an_impossible_value_is_refused_and_stays_as_typed(bench: BenchPage, workshop: Any, job: Any) -> None:
    enter("90")
    field = armed(bench)
    assert field.text() == "90"
    assert "cannot be more than 3.000 mm" in field.refusal
    assert "Check the decimal point" in field.refusal
    assert standing(workshop, job, "teardown", "backlash_found", "at_000") is None
    assert bench.unsaved() == ["Backlash as found, 0°"]
    assert not bench.settle()


def test_the_wrong_kind_is_refused(bench: BenchPage) -> None:
    bench.turn_to("teardown")
    arm(bench, "torque_whole")
    enter("0.6 mm")
    assert "is a length; a torque is asked for" in bench.column.field("torque_whole").refusal


def test_what_is_worked_out_follows_each_reading(bench: BenchPage) -> None:
    for text in ("0.14", "0.15", "0.17", "0.18"):
        enter(text)
    texts = visible_texts(bench.column)
    assert texts[texts.index("Mean backlash as found") + 2 :][:2] == ["0.160", "mm"]


def test_leaving_by_mouse_stores_too(bench: BenchPage, workshop: Any, job: Any, qtbot: Any) -> None:
    type_text("0.14")
    qtbot.mouseClick(bench.stages.buttons["preload"], Qt.MouseButton.LeftButton)
    assert standing(workshop, job, "teardown", "backlash_found", "at_000").text == "0.14"
    assert bench.next_thing.text()


def test_a_program_fault_is_not_taken_for_a_refusal(
    bench: BenchPage, workshop: Any, qtbot: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a bug")

    monkeypatch.setattr(workshop, "enter", broken)
    with qtbot.captureExceptions() as caught:
        enter("0.14")
    assert caught and caught[0][0] is ZeroDivisionError
    field = bench.column.field("backlash_found", "at_000")
    assert field.text() == "0.14"
    assert field.is_changed


def test_a_redraw_keeps_focus_and_what_is_half_typed(bench: BenchPage, qtbot: Any) -> None:
    other = bench.column.field("torque_whole")
    other.put_draft("9.5 in")
    enter("0.14")
    assert other.text() == "9.5 in"
    assert armed(bench).key == ("backlash_found", "at_045", 0)


# -- corrections -------------------------------------------------------------------------------------------------------


def test_a_slip_is_corrected_with_one_more_enter(bench: BenchPage, workshop: Any, job: Any) -> None:
    enter(".9")
    arm(bench, "backlash_found", "at_000")
    enter("0.09")
    assert QApplication.focusWidget().accessibleName() == "Reason for changing Backlash as found, 0°"
    press(Qt.Key.Key_Return)
    kept = standing(workshop, job, "teardown", "backlash_found", "at_000")
    assert (kept.text, kept.reason) == ("0.09", "")
    assert kept.replaces is not None
    assert armed(bench).key == ("backlash_found", "at_045", 0)


def test_an_old_reading_changes_only_with_a_reason(bench: BenchPage, workshop: Any, job: Any, clock: Any) -> None:
    enter("0.14")
    clock.now += timedelta(hours=2)
    field = arm(bench, "backlash_found", "at_000")
    enter("0.15")
    press(Qt.Key.Key_Return)
    assert standing(workshop, job, "teardown", "backlash_found", "at_000").text == "0.14"
    enter("read at the wrong tooth")
    kept = standing(workshop, job, "teardown", "backlash_found", "at_000")
    assert (kept.text, kept.reason) == ("0.15", "read at the wrong tooth")
    assert not field.is_changed


def test_an_old_reading_left_half_corrected_stays_a_draft(
    bench: BenchPage, workshop: Any, job: Any, clock: Any
) -> None:
    enter("0.14")
    clock.now += timedelta(hours=2)
    field = arm(bench, "backlash_found", "at_000")
    type_text("0.15")
    press(Qt.Key.Key_Tab)
    assert standing(workshop, job, "teardown", "backlash_found", "at_000").text == "0.14"
    assert field.text() == "0.15"
    assert field.refusal.startswith("Not saved yet")


def test_a_reading_is_taken_back_with_a_reason(bench: BenchPage, workshop: Any, job: Any) -> None:
    enter("0.14")
    arm(bench, "backlash_found", "at_000")
    press(Qt.Key.Key_Delete)
    press(Qt.Key.Key_Return)
    press(Qt.Key.Key_Return)
    assert standing(workshop, job, "teardown", "backlash_found", "at_000") is not None, "not without a reason"
    enter("wrong unit on the bench")
    assert standing(workshop, job, "teardown", "backlash_found", "at_000") is None
    assert bench.column.field("backlash_found", "at_000").text() == ""


def test_a_wrong_correction_is_refused_before_a_reason_is_asked(bench: BenchPage) -> None:
    enter("0.14")
    arm(bench, "backlash_found", "at_000")
    enter("14 mm")
    field = armed(bench)
    assert "cannot be more than" in field.refusal
    assert field.text() == "14 mm"


# -- trials ------------------------------------------------------------------------------------------------------------


@pytest.fixture
def preload(bench: BenchPage) -> BenchPage:
    """Return the bench on the preload stage, with one trial that is too loose."""
    bench.turn_to("preload")
    for entry, text in (("pairs_kept", "y"), ("out_of_mesh", "y")):
        arm(bench, entry)
        enter(text)
    arm(bench, "ring_gear_side", trial=1)
    for text in ("2.50", "2.50", "0.05", "0.05"):
        enter(text)
    return bench


def test_enter_goes_through_a_trial_and_on_to_the_next(preload: BenchPage, workshop: Any, job: Any) -> None:
    assert armed(preload).key == ("end_play", "", 1)
    press(Qt.Key.Key_Return)
    assert armed(preload).key == ("accepted", "", 1)
    press(Qt.Key.Key_Return)
    assert QApplication.focusWidget() is preload.column.next_trial
    press(Qt.Key.Key_Return)
    assert armed(preload).key == ("ring_gear_side", "", 2)
    enter("2,52")
    assert standing(workshop, job, "preload", "ring_gear_side", trial=2).value == 2.52


def test_a_finished_trial_is_one_line(preload: BenchPage) -> None:
    preload.column.next_trial.click()
    trials = {field.trial for field in preload.column.fields()}
    assert trials == {0, 2}
    line = preload.column._rows["trial", 1]
    assert line.values.text() == (
        "2.500 · 2.500 mm; 0.05 · 0.05 N·m; Ring sum: 5.000 mm; Mean turning torque: 0.05 N·m"
    )
    assert line.word.text() == "does not conform"
    line.button.setFocus()
    press(Qt.Key.Key_Space)
    assert {field.trial for field in preload.column.fields()} == {0, 1, 2}
    press(Qt.Key.Key_Space)
    assert {field.trial for field in preload.column.fields()} == {0, 2}


def test_no_next_trial_before_the_last_has_a_reading(preload: BenchPage) -> None:
    assert preload.column.next_trial.isEnabled()
    preload.column.next_trial.click()
    assert not preload.column.next_trial.isEnabled()


def test_an_accepted_trial_leads_on_to_what_follows(preload: BenchPage, workshop: Any, job: Any) -> None:
    preload.column.next_trial.click()
    for text in ("2.52", "2.53", "0.60", "0.65"):
        enter(text)
    press(Qt.Key.Key_Return)
    enter("y")
    assert standing(workshop, job, "preload", "accepted", trial=2).text == "yes"
    assert armed(preload).key == ("note", "", 0)
    press(Qt.Key.Key_Return)
    assert QApplication.focusWidget().text() == "Go on to Backlash"
    press(Qt.Key.Key_Return)
    assert preload.stages.buttons["backlash"].isChecked()


def test_a_ring_no_family_has_is_refused(preload: BenchPage) -> None:
    preload.column.next_trial.click()
    enter("252")
    assert "less than" in armed(preload).refusal or "more than" in armed(preload).refusal


def test_the_words_of_a_trial_leave_out_what_is_not_there(preload: BenchPage, workshop: Any, job: Any) -> None:
    state = workshop.state(job.id, {"preload": 2}).stage("preload")
    assert trial_words(state.trials[1]) == ""


def test_trials_stand_between_what_comes_before_and_what_closes(preload: BenchPage, workshop: Any, job: Any) -> None:
    rows = [row.key for row in plan(workshop.state(job.id).stage("preload"))]
    at = rows.index(("trial", 1))
    assert rows.index(("field", "out_of_mesh", "", 0)) < at < rows.index(("next_trial",))
    assert rows.index(("next_trial",)) < rows.index(("field", "note", "", 0))
    assert rows.index(("derived", "torque_mean", 1)) < rows.index(("field", "accepted", "", 1))


# -- the gauge ---------------------------------------------------------------------------------------------------------


def test_a_reading_names_the_gauge_in_use(bench: BenchPage, workshop: Any, job: Any, settings: Settings) -> None:
    enter("0.14")
    kept = standing(workshop, job, "teardown", "backlash_found", "at_000")
    assert kept.gauge_id == settings.gauge_for("dial")


def test_the_gauge_is_changed_without_storing_what_is_half_typed(
    bench: BenchPage, workshop: Any, job: Any, settings: Settings, qtbot: Any
) -> None:
    other = workshop.add_gauge("dial gauge 9", "dial", "0.001", "0.002", "2026-01-05", "12")
    bench.show_job(job.id)
    type_text("0.14")
    QTest.keyClick(bench, Qt.Key.Key_G, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: bench.gauges.isAncestorOf(QApplication.focusWidget()))
    assert standing(workshop, job, "teardown", "backlash_found", "at_000") is None
    row = bench.gauges._rows["dial"]
    while row.text() != str(other.id):
        press(Qt.Key.Key_Right)
    press(Qt.Key.Key_Return)
    field = armed(bench)
    assert field.text() == "0.14"
    press(Qt.Key.Key_Return)
    assert standing(workshop, job, "teardown", "backlash_found", "at_000").gauge_id == other.id
    assert settings.gauge_for("dial") == other.id


# -- the job -----------------------------------------------------------------------------------------------------------


def test_the_header_says_which_unit_this_is(bench: BenchPage) -> None:
    assert bench.header.number.text() == "2407"
    assert bench.header.facts.text() == "unit K-1183 · casing Orrin B, card revision 1 · 43 : 11 = 3.909 · hunting"


def test_the_job_s_words_are_corrected_in_place(bench: BenchPage, workshop: Any, job: Any, qtbot: Any) -> None:
    bench.header.details_button.setFocus()
    press(Qt.Key.Key_Space)
    field = bench.header.details.fields[0]
    assert field.isVisible()
    field.editor.selectAll()
    enter("Brackwater Hillclimb Club")
    enter("misspelt")
    assert workshop.state(job.id).context.job.customer == "Brackwater Hillclimb Club"
    assert QApplication.focusWidget() is bench.header.details.fields[1].editor


def test_what_could_not_be_stored_is_there_again(bench: BenchPage, workshop: Any, job: Any) -> None:
    enter("90")
    other = workshop.new_job(draft_like(job, "2408"), PERSON)
    bench.show_job(other.id)
    assert bench.column.field("backlash_found", "at_000").text() == ""
    assert bench.unsaved() == []
    bench.show_job(job.id)
    assert bench.column.field("backlash_found", "at_000").text() == "90"


def draft_like(job: Any, number: str) -> Any:
    from core.drafts import JobDraft

    return JobDraft(
        number, "Z-1", "Somebody", "", "", "", str(job.ring_gear_teeth), str(job.pinion_teeth), card_id=job.card.id
    )


def test_half_corrected_words_do_not_wander_to_another_job(bench: BenchPage, workshop: Any, job: Any) -> None:
    field = bench.header.details.fields[0]
    field.put_draft("Half a na")
    other = workshop.new_job(draft_like(job, "2408"), PERSON)
    bench.show_job(other.id)
    assert field.text() == "Somebody"
    bench.show_job(job.id)
    assert field.text() == "Half a na"


def test_alt_and_a_digit_turns_to_a_stage(bench: BenchPage) -> None:
    press(Qt.Key.Key_4, Qt.KeyboardModifier.AltModifier)
    assert bench.stages.buttons["backlash"].isChecked()
    assert bench.next_thing.text() == bench.next_thing.text().strip() != ""


def test_the_way_back_is_told(bench: BenchPage, qtbot: Any) -> None:
    with qtbot.waitSignal(bench.back_wanted):
        bench.header.back.click()


# -- handing over ------------------------------------------------------------------------------------------------------


def test_a_sheet_is_asked_of_the_window(bench: BenchPage, job: Any, qtbot: Any) -> None:
    bench.turn_to("fill")
    end = bench._page.end
    with qtbot.waitSignal(bench.sheet_wanted) as asked:
        end.customer_sheet.click()
    assert asked.args == [job.id, "customer"]


def test_no_sheet_while_something_is_not_stored(bench: BenchPage, qtbot: Any) -> None:
    enter("90")
    bench.turn_to("fill")
    end = bench._page.end
    with qtbot.assertNotEmitted(bench.sheet_wanted):
        end.shop_sheet.click()
    assert end.refusal.text() == "First finish what is not saved yet: Backlash as found, 0°."


def test_an_unfinished_job_is_not_signed(bench: BenchPage, workshop: Any, job: Any) -> None:
    bench.turn_to("fill")
    end = bench._page.end
    assert end.sign.text() == f"Sign off as {PERSON}"
    end.sign.click()
    assert "cannot be signed yet" in end.refusal.text()
    assert workshop.state(job.id).context.job.signed_at is None


def test_nobody_signs_for_nobody(bench: BenchPage, settings: Settings, qtbot: Any) -> None:
    settings.person = ""
    bench.person_changed()
    bench.turn_to("fill")
    with qtbot.waitSignal(bench.person_wanted):
        bench._page.end.sign.click()


def test_a_signed_job_is_read_only_until_it_is_reopened(bench: BenchPage, workshop: Any, job: Any) -> None:
    sign_anyhow(workshop, job)
    bench.show_job(job.id)
    bench.turn_to("fill")
    end = bench._page.end
    assert end.signed.text().startswith(f"Signed by {PERSON} on ")
    assert not end.sign.isVisible()
    arm(bench, "oil_grade")
    type_text("75W-140")
    assert bench.column.field("oil_grade").text() == ""
    end.reason.setFocus()
    end.reopen.click()
    assert end.refusal.text() != ""
    type_text("name misspelt")
    end.reopen.click()
    assert workshop.state(job.id).context.job.revision == 2
    assert end.sign.isVisible()
    arm(bench, "oil_grade")
    enter("75W-140")
    assert standing(workshop, job, "fill", "oil_grade").text == "75W-140"


def sign_anyhow(workshop: Any, job: Any) -> None:
    """Sign a job without its readings: what is tried is the page, not the rule."""
    with workshop._logbook.work() as work:
        work.sign(job.id, PERSON, workshop._clock())
        work.commit()


# -- keyboard, names, room ---------------------------------------------------------------------------------------------


def regions(bench: BenchPage) -> list[QWidget]:
    return [bench.header, bench.stages, bench._body.left, bench._body.right, bench.gauges]


def test_every_stage_passes_the_audit(bench: BenchPage) -> None:
    for stage in STAGE_KEYS:
        bench.turn_to(stage)
        assert_accessible(bench)
        assert_visual_order(bench, regions(bench))


def test_the_audit_holds_with_everything_open(preload: BenchPage) -> None:
    preload.column.next_trial.click()
    preload.column._rows["trial", 1].button.click()
    preload.header.details_button.click()
    arm(preload, "ring_gear_side", trial=1)
    enter("2.51")
    assert_accessible(preload)
    assert_visual_order(preload, regions(preload))


@pytest.mark.parametrize("scale", [100, 150, 200])
def test_nothing_is_cut_off(bench: BenchPage, qapp: QApplication, qtbot: Any, scale: int) -> None:
    theme.apply(qapp, "dark", scale)
    bench.theme_changed()
    for stage in STAGE_KEYS:
        bench.turn_to(stage)
        last: list[AssertionError] = []
        try:
            qtbot.waitUntil(partial(holds, lambda: assert_nothing_cut_off(bench), last), timeout=3000)
        except TimeoutError:
            raise last[-1] from None
    assert bench.minimumSizeHint().width() <= 1280


def holds(check: Callable[[], None], last: list[AssertionError]) -> bool:
    """Tell whether a check passes by now; the page is laid out anew in several steps."""
    try:
        check()
    except AssertionError as error:
        last.append(error)
        return False
    return True


def test_enter_alone_goes_from_the_first_field_to_the_last_stage(bench: BenchPage) -> None:
    bench.column.fields()[0].setFocus(Qt.FocusReason.OtherFocusReason)
    for stage, following in pairwise(STAGE_KEYS):
        assert bench.stages.buttons[stage].isChecked()
        bench.column.fields()[0].setFocus(Qt.FocusReason.OtherFocusReason)
        for field in bench.column.fields():
            assert armed(bench) is field
            press(Qt.Key.Key_Return)
        assert QApplication.focusWidget() is bench._page.end.first()
        press(Qt.Key.Key_Return)
        assert bench.stages.buttons[following].isChecked()


def test_enter_at_the_end_of_the_last_stage_presses_nothing(bench: BenchPage, qtbot: Any) -> None:
    bench.turn_to("fill")
    last, end = bench.column.fields()[-1], bench._page.end
    last.setFocus(Qt.FocusReason.OtherFocusReason)
    with qtbot.assertNotEmitted(bench.sheet_wanted):
        press(Qt.Key.Key_Return)
        assert QApplication.focusWidget() is end.shop_sheet
        press(Qt.Key.Key_Return)
        press(Qt.Key.Key_Enter)
    # What no Enter does, the space bar does: the button is alive.
    with qtbot.waitSignal(bench.sheet_wanted) as wanted:
        press(Qt.Key.Key_Space)
    assert wanted.args[1] == "shop"


def test_the_armed_field_is_in_sight(bench: BenchPage, qtbot: Any) -> None:
    field = arm(bench, "note")
    area = bench._body._left_area
    qtbot.waitUntil(lambda: area.viewport().rect().contains(field.mapTo(area.viewport(), field.rect().center())))


def test_no_button_is_a_default_one(bench: BenchPage) -> None:
    from PySide6.QtWidgets import QPushButton

    for stage in STAGE_KEYS:
        bench.turn_to(stage)
    for button in bench.findChildren(QPushButton):
        assert not button.autoDefault() and not button.isDefault(), button.text()


def test_a_narrow_page_puts_the_figure_under_the_fields(bench: BenchPage, qtbot: Any) -> None:
    bench.resize(800, 800)
    qtbot.waitUntil(lambda: not bench._body._right_area.isVisible())
    assert bench._body.left.isAncestorOf(bench._page.aside)
    bench.resize(1280, 800)
    qtbot.waitUntil(lambda: bench._body.right.isAncestorOf(bench._page.aside))
    assert bench._page.aside.cautions.isVisible()


def test_the_figure_follows_the_readings(bench: BenchPage, qtbot: Any) -> None:
    figure = bench._page.aside.figure
    qtbot.waitUntil(lambda: figure.is_drawn)
    assert figure.accessibleName() == "Figure: Teardown"
    assert figure.accessibleDescription() == "Nothing measured yet."
    for text in ("0.14", "0.15", "0.17", "0.18"):
        enter(text)
    qtbot.waitUntil(lambda: "Mean backlash as found 0.160 mm" in figure.accessibleDescription())


def test_every_word_on_the_page_can_be_translated(
    workshop: Any, settings: Settings, job: Any, qapp: QApplication
) -> None:
    language.use_translation(lambda text: f"⟦{text}⟧")
    try:
        page = BenchPage(workshop, settings)
        page.resize(1280, 800)
        page.show()
        page.show_job(job.id)
        for stage in STAGE_KEYS:
            page.turn_to(stage)
            for text in visible_texts(page):
                assert "⟦" in text or is_data(text, job), text
        page.close()
        page.deleteLater()
    finally:
        language.use_translation(None)


def is_data(text: str, job: Any) -> bool:
    """Whether a text is a number, a unit, or what somebody typed."""
    from core.units import KINDS

    units = {unit.label for kind in KINDS.values() for unit in kind.units}
    return text in units or text in (job.number, "–") or text.replace(".", "").isdigit()


def test_marks_of_the_stages_are_told_in_words(bench: BenchPage) -> None:
    assert bench.stages.buttons["teardown"].accessibleName() == "Teardown: missing"
    assert Answer.MISSING in bench.stages._answers.values()
