"""What is advised beside the trials: seen, taken with one key, never in the way, and true when another was quicker."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from io import BytesIO
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from pypdf import PdfReader
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app import theme
from app.bench.advice_panel import AdvicePanel, in_words
from app.bench.page import BenchPage
from app.settings import Settings
from app.window import Window
from core.drafts import JobDraft
from core.stages import stage as stage_of

TAM, JORY = "Tam Ollerby", "Jory Pell"
ONE, OTHER = "ring_gear_side", "opposite_side"
CTRL = Qt.KeyboardModifier.ControlModifier
EVEN = ["0.08"] * 8


def tell_preload(workshop: Any, job: Any, *trials: tuple[str, str, str]) -> None:
    for number, (one, other, torque) in enumerate(trials, start=1):
        for entry, text in ((ONE, one), (OTHER, other), ("torque_forward", torque), ("torque_back", torque)):
            workshop.record(job.id, "preload", entry, text, trial=number, person=TAM)


def tell_backlash(workshop: Any, job: Any, one: str, other: str, places: list[str]) -> None:
    tell_preload(workshop, job, (one, other, "0.70"))
    workshop.record(job.id, "preload", stage_of("preload").accept, "yes", trial=1, person=TAM)
    for entry, text in ((ONE, one), (OTHER, other)):
        workshop.record(job.id, "backlash", entry, text, trial=1, person=TAM)
    for place, text in zip(stage_of("backlash").entry("backlash").positions, places, strict=True):
        workshop.record(job.id, "backlash", "backlash", text, position=place.key, trial=1, person=TAM)


@pytest.fixture
def window(qtbot: Any, qapp: QApplication, workshop: Any, job: Any, tmp_path: Any) -> Iterator[Callable[..., Window]]:
    made: list[Window] = []

    def make(stage: str = "preload", scale: int = 100) -> Window:
        theme.apply(qapp, "light", scale)
        shown = Window(workshop, Settings(person=TAM, sheet_folder=str(tmp_path / "sheets"), path=None))
        made.append(shown)
        qtbot.addWidget(shown)
        shown.resize(1280, 800)
        with qtbot.waitExposed(shown):
            shown.show()
        shown.activateWindow()
        shown.open_job(job.id)
        shown.bench.turn_to(stage)
        answered(qtbot, shown)
        return shown

    yield make
    for shown in made:
        shown.close()
    theme.apply(qapp, "light")


def answered(qtbot: Any, window: Window) -> None:
    """Wait until the page shows the answer to its last question."""
    QCoreApplication.processEvents()
    QCoreApplication.processEvents()
    qtbot.waitUntil(lambda: not window.bench.desks.advice.is_asking)
    QCoreApplication.processEvents()


def panel(window: Window) -> AdvicePanel:
    return window.bench._page.aside.advice


def focused() -> QWidget:
    now = QApplication.focusWidget()
    assert now is not None
    return now


def arm(window: Window, entry: str, position: str = "", trial: int = 1) -> QWidget:
    field = window.bench.column.field(entry, position, trial)
    field.setFocus(Qt.FocusReason.OtherFocusReason)
    return field


def readings(workshop: Any, job: Any, trial: int, stage: str = "preload") -> dict[str, str]:
    current = workshop.state(job.id).context.current
    return {entry: reading.text for (s, entry, _, t), reading in current.items() if (s, t) == (stage, trial)}


# -- shown -------------------------------------------------------------------------------------------------------------


def test_the_answer_stands_beside_the_trials(window: Callable[..., Window], workshop: Any, job: Any) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"), ("2.56", "2.54", "1.40"))
    shown = panel(window())
    said = workshop.advice(job.id, "preload")
    assert (shown.title.text(), shown.text.text()) == (said.title, said.text)
    assert shown.chance.text() == f"Chance {round(100 * said.offer.chance)} %"
    assert shown.of_what.text() == "that trial 3 conforms"
    assert shown.why.text() == f"Why: {said.why}"
    assert shown.take.text() == "Make it trial 3 (Ctrl+T)"
    assert not shown.go.isVisible()
    assert shown.plot.is_drawn
    told = shown.plot.accessibleDescription()
    assert "Limits 0.50 to 1.00 N·m." in told
    assert "Trial 1: ring sum 5.000 mm, read 0.05 N·m." in told
    assert f"chance {round(100 * said.offer.chance)} %" in told


def test_the_curve_is_not_drawn_a_second_time(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"))
    shown = window()
    aside = shown.bench._page.aside
    assert aside.figure.isVisible()
    beside_a_plot = aside.figure.sizeHint().height()
    workshop.record(job.id, "preload", "torque_forward", "0.7", trial=1, reason="slip")
    workshop.record(job.id, "preload", "torque_back", "0.7", trial=1, reason="slip")
    workshop.record(job.id, "preload", stage_of("preload").accept, "yes", trial=1)
    shown.bench.look_again()
    qtbot.waitUntil(lambda: not aside.advice.isVisible())
    assert aside.figure.sizeHint().height() > beside_a_plot


def test_where_nothing_is_advised_nothing_is_shown(window: Callable[..., Window]) -> None:
    shown = window("teardown")
    assert not panel(shown).isVisible()
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    assert shown.message.sentence.text() == "No pair is advised on this stage."


def test_before_the_first_trial_a_pair_is_offered(window: Callable[..., Window], workshop: Any, job: Any) -> None:
    for side, text in ((ONE, "2.52"), (OTHER, "2.50")):
        workshop.record(job.id, "teardown", f"rings_found_{side}", text)
    shown = panel(window())
    assert shown.title.text() == "First pair"
    assert shown.take.text() == "Make it trial 1 (Ctrl+T)"


@pytest.mark.parametrize("scale", [100, 150])
def test_the_audit_holds(window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any, scale: int) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.60"), ("2.55", "2.55", "0.11"))
    shown = window(scale=scale)
    aside = shown.bench._page.aside
    assert panel(shown).go.isVisible()
    assert_accessible(shown.bench)
    bench = shown.bench
    regions = [bench.header, bench.stages, bench.column, bench._page.end, aside, bench.gauges]
    assert_visual_order(bench, regions)
    qtbot.waitUntil(lambda: _holds(panel(shown)))


def _holds(page: QWidget) -> bool:
    try:
        assert_nothing_cut_off(page)
    except AssertionError:
        return False
    return True


@pytest.mark.parametrize("scale", [100, 150])
def test_the_entries_stay_in_sight(window: Callable[..., Window], workshop: Any, job: Any, scale: int) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.60"), ("2.55", "2.55", "0.11"))
    shown = window(scale=scale)
    field = arm(shown, "torque_forward", trial=2)
    QTest.qWait(100)
    at = field.mapTo(shown.bench, field.rect().topLeft())
    assert at.x() >= 0 and at.x() + field.width() <= shown.bench.width()
    assert 0 <= at.y() < shown.bench.height() - field.height()
    assert field.width() >= shown.bench.width() // 2


def test_a_late_answer_leaves_the_last_one_greyed(qtbot: Any, workshop: Any, job: Any, clock: Any) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"))
    waiting: list[tuple[Callable[[], Any], Callable[[Any], None]]] = []

    def later(work: Callable[[], Any], done: Callable[[Any], None], label: str = "") -> None:
        waiting.append((work, done))

    def deliver() -> None:
        while waiting:
            work, done = waiting.pop(0)
            done(work())

    page = BenchPage(workshop, Settings(person=TAM), lambda: clock.now, run=later)
    qtbot.addWidget(page)
    page.show()
    page.show_job(job.id)
    page.turn_to("preload")
    QCoreApplication.processEvents()
    shown = page._page.aside.advice
    qtbot.waitUntil(lambda: shown.text.text() == "Looking for what to try next …")
    deliver()
    first = shown.text.text()
    assert first.startswith("Fit ")
    assert shown.text.property("tone") == ""
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"), ("2.56", "2.54", "1.40"))
    page.look_again()
    QCoreApplication.processEvents()
    qtbot.waitUntil(lambda: shown.text.property("tone") == "quiet")
    assert shown.text.text() == first
    page.look_again()
    QCoreApplication.processEvents()
    deliver()
    assert shown.text.text() == workshop.advice(job.id, "preload").text
    assert shown.text.property("tone") == ""


# -- taken -------------------------------------------------------------------------------------------------------------


def test_one_key_from_within_a_field_makes_the_next_trial(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"), ("2.56", "2.54", "1.40"))
    shown = window()
    offer = workshop.advice(job.id, "preload").offer
    free = {part.id: part.count for part in workshop.parts()}
    arm(shown, "torque_back", trial=2)
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    answered(qtbot, shown)
    sides = [f"{part.thickness_mm:.3f} mm" for part in offer.parts]
    assert readings(workshop, job, 3) == {ONE: sides[0], OTHER: sides[1]}
    for part in offer.parts:
        assert next(one for one in workshop.parts() if one.id == part.id).count == free[part.id] - 1
    held = {entry: hold.part.id for entry, hold in workshop.held_by_job(job.id).holds.items()}
    assert held == {ONE: offer.parts[0].id, OTHER: offer.parts[1].id}
    assert shown.bench.column.field(ONE, "", 3).text() == sides[0]
    assert shown.bench.column.field("torque_forward", "", 3).isAncestorOf(focused())
    assert panel(shown).take.text() == "This is trial 3"
    assert not panel(shown).take.isEnabled()
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    answered(qtbot, shown)
    assert readings(workshop, job, 4) == {}


def test_nothing_is_taken_that_cannot_be_seen(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    """On a narrow page the pair stands under the fields: the key first goes there, and once more takes it."""
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"))
    shown = window(scale=150)
    assert not panel(shown).is_in_sight
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    assert focused() is panel(shown).take
    assert readings(workshop, job, 2) == {}
    qtbot.waitUntil(lambda: panel(shown).is_in_sight)
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    answered(qtbot, shown)
    assert set(readings(workshop, job, 2)) == {ONE, OTHER}
    assert shown.bench.column.field("torque_forward", "", 2).isAncestorOf(focused())


def test_the_push_of_a_backlash_trial_arms_its_first_place(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    tell_backlash(workshop, job, "2.52", "2.52", ["0.14", "0.14", "0.15", "0.15", "0.15", "0.14", "0.14", "0.14"])
    shown = window("backlash")
    assert panel(shown).title.text() == "Too much backlash"
    QTest.mouseClick(panel(shown).take, Qt.MouseButton.LeftButton)
    answered(qtbot, shown)
    first = stage_of("backlash").entry("backlash").positions[0].key
    assert shown.bench.column.field("backlash", first, 2).isAncestorOf(focused())
    assert set(readings(workshop, job, 2, "backlash")) == {ONE, OTHER}


def test_what_is_typed_is_kept_before_the_pair_is_taken(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    """A torque typed but not entered yet counts; where it changes what is advised, nothing is taken unseen."""
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"))
    shown = window()
    workshop.withdraw(job.id, "preload", "torque_back", trial=1, person=TAM, reason="slip")
    shown.bench.look_again()
    answered(qtbot, shown)
    arm(shown, "torque_back")
    QTest.keyClicks(focused(), "0.45")
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    answered(qtbot, shown)
    assert readings(workshop, job, 1)["torque_back"] == "0.45"
    is_taken = bool(readings(workshop, job, 2))
    assert is_taken != panel(shown).refusal.isVisible()


def test_any_other_pair_may_be_typed(window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"))
    shown = window()
    shown.bench.column.next_trial.click()
    for text in ("2.55", "2.51", "0.80"):
        QTest.keyClicks(focused(), text)
        QTest.keyClick(focused(), Qt.Key.Key_Return)
        answered(qtbot, shown)
    assert readings(workshop, job, 2) == {ONE: "2.55", OTHER: "2.51", "torque_forward": "0.80"}


def another_job(workshop: Any) -> Any:
    card = next(card for card in workshop.cards() if card.family == "Orrin B")
    return workshop.new_job(
        JobDraft("2501", "S-1", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id), JORY
    )


def test_a_ring_another_bench_took_meanwhile_is_said_and_nothing_is_half_written(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"))
    shown = window()
    seen = workshop.advice(job.id, "preload").offer.parts
    for part in seen:
        if part.count > 1:
            workshop.scrap(part.id, str(part.count - 1), "bent", "Wren Hask")
    shown.bench.look_again()
    answered(qtbot, shown)
    seen = workshop.advice(job.id, "preload").offer.parts
    arm(shown, "torque_back")
    QTest.keyClicks(focused(), "wrong")
    workshop.take_from_drawer(another_job(workshop).id, "preload", ONE, 1, seen[0].id, JORY)
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    answered(qtbot, shown)
    assert panel(shown).refusal.text().startswith("Another pair is advised now than the one you saw")
    assert readings(workshop, job, 2) == {}
    assert workshop.held_by_job(job.id).holds == {}
    assert shown.bench.column.field("torque_back", "", 1).text() == "wrong"
    now = workshop.advice(job.id, "preload")
    assert seen[0].id not in {part.id for part in now.offer.parts}
    assert panel(shown).text.text() == now.text
    QTest.mouseClick(panel(shown).take, Qt.MouseButton.LeftButton)
    answered(qtbot, shown)
    assert set(readings(workshop, job, 2)) == {ONE, OTHER}
    assert not panel(shown).refusal.isVisible()


def test_a_ring_never_measured_is_not_taken(window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"))
    for part in workshop.parts():
        if part.kind == "ring" and part.count:
            workshop.scrap(part.id, str(part.count), "moved out", "Wren Hask")
    for place, size in (("X1", "2.54 mm"), ("X2", "2.55 mm")):
        workshop.add_part("ring", "", place, size, count_text="2")
    shown = window()
    QTest.mouseClick(panel(shown).take, Qt.MouseButton.LeftButton)
    answered(qtbot, shown)
    assert "was never measured" in panel(shown).refusal.text()
    assert readings(workshop, job, 2) == {}
    assert workshop.held_by_job(job.id).holds == {}


def test_what_reads_wrong_is_gone_to_first(window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.60"), ("2.55", "2.55", "0.11"))
    shown = window()
    assert panel(shown).title.text() == "Read trial 2 again"
    assert panel(shown).take.isVisible()
    QTest.mouseClick(panel(shown).go, Qt.MouseButton.LeftButton)
    assert shown.bench.column.field("torque_forward", "", 2).isAncestorOf(focused())


def test_an_odd_place_is_gone_to_also_in_a_trial_that_is_closed(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    tell_backlash(workshop, job, "2.52", "2.52", ["0.14", "0.14", "0.15", "0.15", "0.28", "0.14", "0.14", "0.14"])
    shown = window("backlash")
    assert panel(shown).title.text() == "Read trial 1 again"
    shown.bench.column.next_trial.click()
    answered(qtbot, shown)
    QTest.mouseClick(panel(shown).go, Qt.MouseButton.LeftButton)
    fourth = stage_of("backlash").entry("backlash").positions[4].key
    assert shown.bench.column.field("backlash", fourth, 1).isAncestorOf(focused())


def test_the_key_says_what_is_missing_away_from_the_bench(window: Callable[..., Window], qtbot: Any) -> None:
    shown = window()
    shown.show_desk()
    said: list[str] = []
    shown.bench.desks.advice.said.connect(said.append)
    shown.bench.desks.advice.take()
    shown.show_bench()
    shown.bench.turn_to("teardown")
    answered(qtbot, shown)
    shown.bench.desks.advice.take()
    assert said == [
        "Turn to the bench first: what is advised stands beside the trials.",
        "No pair is advised on this stage.",
    ]


# -- on paper ----------------------------------------------------------------------------------------------------------


def test_the_ticket_is_written_where_build_sheets_are(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any, tmp_path: Any
) -> None:
    tell_preload(workshop, job, ("2.50", "2.50", "0.05"))
    shown = window()
    QTest.mouseClick(panel(shown).ticket, Qt.MouseButton.LeftButton)
    path = tmp_path / "sheets" / "2407 K-1183 preload trial 2.pdf"
    qtbot.waitUntil(path.exists, timeout=10_000)
    said = " ".join(PdfReader(BytesIO(path.read_bytes())).pages[0].extract_text().split())
    assert "Preload, trial 2" in said


def test_the_key_prints_the_last_pair_where_none_is_advised(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any, tmp_path: Any
) -> None:
    tell_preload(workshop, job, ("2.53", "2.53", "0.75"))
    shown = window()
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL | Qt.KeyboardModifier.ShiftModifier)
    path = tmp_path / "sheets" / "2407 K-1183 preload trial 1.pdf"
    qtbot.waitUntil(path.exists, timeout=10_000)
    assert "Preload, trial 1" in " ".join(PdfReader(BytesIO(path.read_bytes())).pages[0].extract_text().split())
    shown.bench.turn_to("teardown")
    answered(qtbot, shown)
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL | Qt.KeyboardModifier.ShiftModifier)
    qtbot.waitUntil(lambda: shown.message.sentence.text().startswith("There is no pair to put on a ticket."))


def test_the_plot_in_words_names_every_pair(workshop: Any, job: Any) -> None:
    tell_backlash(workshop, job, "2.52", "2.52", ["0.14"] * 8)
    picture = workshop.advice(job.id, "backlash").picture
    told = list(in_words(picture))
    assert told[0] == "Limits 0.060 to 0.100 mm."
    assert sum(sentence.startswith("A pair at ring gear from the pinion") for sentence in told) == len(picture.offers)
    assert sum("nine times in ten" in sentence for sentence in told) == 2


def test_nuts_are_set_by_the_same_key(workshop: Any, qtbot: Any, qapp: QApplication, window: Any, clock: Any) -> None:
    """Where nuts are turned the trial has their notches, and the ticket names them."""
    card = next(card for card in workshop.cards() if card.text("setting_method") == "adjuster_nuts")
    nuts = workshop.new_job(
        JobDraft("2501", "S-1", "Pim Averlock", ring_gear_teeth="41", pinion_teeth="11", card_id=card.id), JORY
    )
    for entry, text in (("nut_ring_gear_side", "10"), ("nut_opposite_side", "8"), ("torque_forward", "0.05")):
        workshop.record(nuts.id, "preload", entry, text, trial=1, person=TAM)
    workshop.record(nuts.id, "preload", "torque_back", "0.05", trial=1, person=TAM)
    offer = workshop.advice(nuts.id, "preload").offer
    assert offer.notches is not None
    shown = window()
    shown.open_job(nuts.id)
    shown.bench.turn_to("preload")
    answered(qtbot, shown)
    QTest.mouseClick(panel(shown).take, Qt.MouseButton.LeftButton)
    answered(qtbot, shown)
    written = readings(workshop, nuts, 2)
    assert written == {"nut_ring_gear_side": str(offer.notches[0]), "nut_opposite_side": str(offer.notches[1])}
    assert shown.bench.column.field("torque_forward", "", 2).isAncestorOf(focused())
    said = " ".join(PdfReader(BytesIO(workshop.bench_ticket(nuts.id, "preload"))).pages[0].extract_text().split())
    assert f"{offer.notches[0]} notches" in said


# -- what goes under the pinion ----------------------------------------------------------------------------------------


def test_the_shim_advised_is_taken_with_the_same_key(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    print_high(workshop, job)
    shown = window("contact_pattern")
    offer = workshop.advice(job.id, "contact_pattern").shims
    assert offer is not None
    assert "; the drawer has" in panel(shown).text.text() or " and lay " in panel(shown).text.text()
    assert panel(shown).take.text() == "Make it trial 2 (Ctrl+T)"
    assert panel(shown).ticket.isVisible()
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    answered(qtbot, shown)
    taken = readings(workshop, job, 2, "contact_pattern")
    assert len(taken) == len(offer.shims_mm)
    held = {hold.part.id for hold in workshop.held_by_job(job.id).holds.values()}
    assert held == {part.id for part in offer.parts if part is not None}
    assert panel(shown).take.text() == "This is trial 2"
    assert not panel(shown).take.isEnabled()
    assert panel(shown).text.text() == workshop.advice(job.id, "contact_pattern").text
    # Once more it is said that there is nothing left to take.
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    answered(qtbot, shown)
    assert shown.message.sentence.text() == "What is advised is in already: read it."
    assert readings(workshop, job, 2, "contact_pattern") == taken


def test_a_shim_somebody_else_took_is_not_taken_twice(
    window: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    print_high(workshop, job)
    shown = window("contact_pattern")
    offer = workshop.advice(job.id, "contact_pattern").shims
    other = another_job(workshop)
    for part in offer.parts:
        for _ in range(part.count if part is not None else 0):
            workshop.use_part(other.id, part.id, "1", JORY)
    QTest.keyClick(focused(), Qt.Key.Key_T, CTRL)
    answered(qtbot, shown)
    assert readings(workshop, job, 2, "contact_pattern") == {}
    assert panel(shown).refusal.isVisible()
    assert panel(shown).text.text() == workshop.advice(job.id, "contact_pattern").text


def print_high(workshop: Any, job: Any) -> None:
    """Tell a print high on both flanks, with what lies under the pinion."""
    told = {"pinion_shim": "1.22", "drive_along": "48", "drive_depth": "66", "coast_along": "48", "coast_depth": "65"}
    for entry, text in told.items():
        workshop.record(job.id, "contact_pattern", entry, text, trial=1, person=TAM)
