"""Pieces of the drawer at the bench: the nearest ones below the field, one key away; what the job has beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget

from app import theme
from app.bench.from_drawer import DrawerPieces, offer_words, spoken_words
from app.bench.holdings import Holdings
from app.bench.page import BenchPage
from app.settings import Settings
from app.widgets import EntryField
from core.drafts import JobDraft
from core.facts import Part
from core.workshop.drawer import Offer

TAM, JORY = "Tam Ollerby", "Jory Pell"
ONE, OTHER = "ring_gear_side", "opposite_side"
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def make(qtbot: Any, qapp: QApplication, workshop: Any, job: Any, clock: Any) -> Iterator[Callable[..., BenchPage]]:
    def made(scale: int = 100, stage: str = "preload") -> BenchPage:
        theme.apply(qapp, "light", scale)
        workshop.record(job.id, "teardown", "rings_found_ring_gear_side", "2.52")
        page = BenchPage(workshop, Settings(person=TAM), lambda: clock.now)
        qtbot.addWidget(page)
        page.resize(1360, 800)
        with qtbot.waitExposed(page):
            page.show()
        page.activateWindow()
        page.show_job(job.id)
        page.turn_to(stage)
        qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
        return page

    yield made
    theme.apply(qapp, "light")


@pytest.fixture
def bench(make: Callable[..., BenchPage]) -> BenchPage:
    return make()


def settle() -> None:
    for _ in range(4):
        QCoreApplication.processEvents()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def arm(bench: BenchPage, entry: str, trial: int = 1) -> EntryField:
    field = bench.column.field(entry, "", trial)
    field.setFocus(Qt.FocusReason.OtherFocusReason)
    settle()
    return field


def panel(field: EntryField) -> DrawerPieces:
    found = field.findChild(DrawerPieces)
    assert found is not None
    return found


def holdings(bench: BenchPage) -> Holdings:
    found = bench._page.aside.findChild(Holdings)
    assert found is not None
    return found


def focused() -> QWidget:
    now = QApplication.focusWidget()
    assert now is not None
    return now


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(focused(), key, modifier)
    settle()


def part(workshop: Any, place: str) -> Part:
    return next(part for part in workshop.parts() if part.place == place)


def offered(workshop: Any, job: Any, entry: str = ONE, trial: int = 1) -> list[Offer]:
    return list(workshop.offers(job.id, "preload", entry, trial))


def held(workshop: Any, job: Any) -> dict[str, str]:
    return {entry: hold.part.place for entry, hold in workshop.held_by_job(job.id).holds.items()}


def lines(bench: BenchPage) -> list[str]:
    grid = holdings(bench)._lines
    widgets = [grid.itemAt(at).widget() for at in range(grid.count())]
    return [widget.text() for widget in widgets if not isinstance(widget, QPushButton)]


# -- offered -----------------------------------------------------------------------------------------------------------


def test_the_nearest_pieces_stand_below_the_armed_side(bench: BenchPage, workshop: Any, job: Any) -> None:
    wanted = workshop.advice(job.id, "preload").wanted.ring_gear_side_mm
    field = arm(bench, ONE)
    shown = panel(field)
    assert shown.isVisible()
    assert shown.heading.text() == f"From the drawer, nearest to {wanted:.3f} mm; Ctrl+1 takes the first:"
    assert [button.text() for button in shown.buttons] == [offer_words(o) for o in offered(workshop, job)[:5]]
    assert len(shown.buttons) == 5
    arm(bench, "torque_forward")
    assert not shown.isVisible()
    assert not field.is_armed
    assert bench.column.field("torque_forward", "", 1).findChild(DrawerPieces) is None


def test_what_is_wrong_with_a_piece_is_in_its_words() -> None:
    bent = Offer(Part(1, "ring", "", "C1", 2.66, 1, measured_mm=(2.65, 2.67)), "2.660 mm", "mm", 0.02)
    stamped = Offer(Part(2, "ring", "", "", 2.66, 1), "2.660 mm", "mm", None, OTHER)
    assert offer_words(bent) == "C1 · 2.660 mm · not parallel · +0.020"
    assert offer_words(stamped) == "2.660 mm · in hand · not measured"
    assert spoken_words(bent, 1) == "Take ring from C1, 2.660 mm, not parallel, 0.020 mm too thick, Ctrl+1"
    assert spoken_words(stamped, 6) == "Take ring, 2.660 mm, in hand, not measured"


def test_more_of_them_are_shown_when_asked_for(bench: BenchPage) -> None:
    shown = panel(arm(bench, ONE))
    QTest.mouseClick(shown.more, Qt.MouseButton.LeftButton)
    settle()
    assert len(shown.buttons) == 24
    assert focused() is shown.buttons[5]
    assert not shown.more.isVisible()
    arm(bench, OTHER)
    assert len(panel(arm(bench, ONE)).buttons) == 5


def test_an_empty_drawer_says_so(bench: BenchPage, workshop: Any) -> None:
    for there in workshop.parts():
        if there.count:
            workshop.scrap(there.id, str(there.count), "moved out", "Wren Hask")
    shown = panel(arm(bench, ONE))
    assert shown.heading.text() == "The drawer has nothing for this."
    assert not shown.more.isVisible()


def test_no_piece_is_offered_on_a_signed_job_or_where_none_belongs(
    make: Callable[..., BenchPage], workshop: Any, job: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    with workshop._working("sign", TAM) as work:
        work.sign(job.id, TAM, workshop._clock())
        work.commit()
    bench = make_signed(make, monkeypatch, workshop)
    assert arm(bench, ONE).findChild(DrawerPieces) is None
    assert not holdings(bench).use.isVisible()


def make_signed(make: Callable[..., BenchPage], monkeypatch: pytest.MonkeyPatch, workshop: Any) -> BenchPage:
    with monkeypatch.context() as patched:
        patched.setattr(workshop, "record", lambda *_, **__: None)
        return make()


# -- taken -------------------------------------------------------------------------------------------------------------


def test_one_key_takes_the_nearest_and_goes_on(bench: BenchPage, workshop: Any, job: Any) -> None:
    nearest = offered(workshop, job)[0]
    field = arm(bench, ONE)
    press(Qt.Key.Key_1, CTRL)
    assert held(workshop, job) == {ONE: nearest.part.place}
    assert (field.text(), field.is_changed) == (nearest.text, False)
    reading = workshop.state(job.id).context.reading("preload", ONE, trial=1)
    assert (reading.source, reading.person) == ("drawer", TAM)
    assert bench.column.field(OTHER, "", 1).isAncestorOf(focused())
    assert not panel(field).isVisible()
    press(Qt.Key.Key_2, CTRL)
    assert set(held(workshop, job)) == {ONE, OTHER}
    assert lines(bench)[0] == f"Ring on the ring-gear side: ring from {nearest.part.place}, on trial"


def test_a_click_takes_too_and_what_was_half_typed_goes(bench: BenchPage, workshop: Any, job: Any) -> None:
    second = offered(workshop, job)[1]
    field = arm(bench, ONE)
    QTest.keyClicks(focused(), "2.5")
    QTest.mouseClick(panel(field).buttons[1], Qt.MouseButton.LeftButton)
    settle()
    assert held(workshop, job) == {ONE: second.part.place}
    assert [r.text for r in workshop.state(job.id).context.readings if r.stage == "preload"] == [second.text]
    assert field.text() == second.text


def test_by_keyboard_alone_through_the_buttons(bench: BenchPage, workshop: Any, job: Any) -> None:
    second = offered(workshop, job)[1]
    field = arm(bench, ONE)
    press(Qt.Key.Key_Tab)
    assert focused() is panel(field).buttons[0]
    assert field.is_armed
    press(Qt.Key.Key_Tab)
    press(Qt.Key.Key_Space)
    assert held(workshop, job) == {ONE: second.part.place}


def test_leaving_by_the_buttons_stores_what_was_typed(bench: BenchPage, workshop: Any, job: Any) -> None:
    field = arm(bench, ONE)
    QTest.keyClicks(focused(), "2.53")
    press(Qt.Key.Key_Tab)
    assert field.is_changed, "the field is not left yet"
    arm(bench, "torque_forward")
    assert workshop.state(job.id).context.reading("preload", ONE, trial=1).text == "2.53"
    assert not field.is_armed


def test_what_the_job_has_there_is_said_and_can_be_swapped(bench: BenchPage, workshop: Any, job: Any) -> None:
    nearest = offered(workshop, job)[0]
    place = nearest.part.place
    free = part(workshop, place).count
    arm(bench, ONE)
    press(Qt.Key.Key_1, CTRL)
    field = arm(bench, ONE)
    assert panel(field).holds.text() == f"Of the drawer, this job has the ring from {place} there: on trial."
    assert panel(field).buttons[0].text() == f"{place} · {nearest.text} · in hand · +0.000"
    press(Qt.Key.Key_1, CTRL)
    assert len(workshop.moves(part(workshop, place).id)) == 2, "the same piece again moves nothing"
    assert part(workshop, place).count == free - 1
    arm(bench, ONE)
    press(Qt.Key.Key_2, CTRL)
    assert part(workshop, place).count == free
    assert set(held(workshop, job)) == {ONE}


def test_a_piece_never_measured_is_measured_first(bench: BenchPage, workshop: Any, job: Any) -> None:
    stamped = offered(workshop, job)[0].part.thickness_mm + 0.001
    workshop.add_part("ring", "", "X1", f"{stamped:.3f} mm")
    field = arm(bench, ONE)
    shown = panel(field)
    key = Qt.Key(Qt.Key.Key_1 + [button.text()[:2] for button in shown.buttons].index("X1"))
    assert f"X1 · {stamped:.3f} mm · not measured" in shown.buttons[key - Qt.Key.Key_1].text()
    press(key, CTRL)
    assert focused() is shown.measured
    press(Qt.Key.Key_Return)
    assert held(workshop, job) == {}
    press(Qt.Key.Key_Escape)
    assert not shown.measured.isVisible()
    assert field.isAncestorOf(focused())
    press(key, CTRL)
    QTest.keyClicks(focused(), "25.2")
    press(Qt.Key.Key_Return)
    assert shown.refusal.text().startswith("25.200 mm is far off")
    assert shown.measured.text() == "25.2"
    shown.measured.selectAll()
    QTest.keyClicks(focused(), f"{stamped - 0.001:.3f} {stamped + 0.001:.3f}")
    press(Qt.Key.Key_Return)
    assert held(workshop, job) == {ONE: "X1"}
    assert field.text() == f"{stamped:.3f} mm"


def test_what_somebody_else_took_meanwhile_is_said_and_goes(bench: BenchPage, workshop: Any, job: Any) -> None:
    card = next(card for card in workshop.cards() if card.family == "Orrin B")
    draft = JobDraft("2501", "S-1", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id)
    other = workshop.new_job(draft, JORY)
    field = arm(bench, ONE)
    nearest = offered(workshop, job)[0].part
    assert panel(field).buttons[0].text().startswith(f"{nearest.place} ")
    if nearest.count > 1:
        workshop.scrap(nearest.id, str(nearest.count - 1), "bent", "Wren Hask")
    workshop.take_from_drawer(other.id, "preload", ONE, 1, nearest.id, JORY)
    press(Qt.Key.Key_1, CTRL)
    shown = panel(field)
    said = f"No ring from {nearest.place} is left: Jory Pell took the last one for job 2501."
    assert shown.refusal.text().startswith(said)
    assert not any(button.text().startswith(f"{nearest.place} ") for button in shown.buttons)
    assert held(workshop, job) == {}
    assert field.text() == ""


def test_the_rules_of_the_trade_are_said_below_the_pieces(bench: BenchPage, workshop: Any, job: Any) -> None:
    bench.turn_to("backlash")
    field = arm(bench, ONE)
    press(Qt.Key.Key_1, CTRL)
    assert panel(field).refusal.text().startswith("Backlash waits for preload")
    spacer = arm(bench, "spacer", 0)
    press(Qt.Key.Key_1, CTRL)
    assert list(held(workshop, job)) == ["spacer"]
    assert "spacer from" in lines(bench)[0]
    assert not panel(spacer).isVisible()


def test_a_trial_begun_offers_what_the_last_had(bench: BenchPage, workshop: Any, job: Any) -> None:
    nearest = offered(workshop, job)[0]
    arm(bench, ONE)
    press(Qt.Key.Key_1, CTRL)
    bench.column.next_trial.click()
    settle()
    field = arm(bench, ONE, 2)
    assert panel(field).buttons[0].text() == f"{nearest.part.place} · {nearest.text} · in hand · +0.000"


# -- what the job has --------------------------------------------------------------------------------------------------


def test_seals_are_used_and_brought_back_beside_a_stage(bench: BenchPage, workshop: Any, job: Any) -> None:
    bench.turn_to("fill")
    settle()
    beside = holdings(bench)
    assert not beside.heading.isVisible()
    before = part(workshop, "S1").count
    beside.use.setFocus()
    press(Qt.Key.Key_Space)
    assert focused() is beside.list
    places = [row.place for row in beside.list.rows_model.rows]
    assert places[:4] == ["S4", "S1", "S2", "S3"]
    assert "T3" not in places and "B3" not in places
    press(Qt.Key.Key_Down)
    press(Qt.Key.Key_Return)
    press(Qt.Key.Key_Return)
    assert part(workshop, "S1").count == before - 2
    assert lines(bench) == ["Used: 2 × output seal 40 × 62 from S1"]
    press(Qt.Key.Key_Escape)
    assert focused() is beside.use
    assert not beside.list.isVisible()
    (back,) = beside.back.values()
    QTest.mouseClick(back, Qt.MouseButton.LeftButton)
    settle()
    assert lines(bench) == ["Used: 1 × output seal 40 × 62 from S1"]
    assert part(workshop, "S1").count == before - 1
    assert [move.person for move in workshop.moves(part(workshop, "S1").id)][-1] == TAM


def test_a_part_that_went_meanwhile_is_refused_with_a_sentence(bench: BenchPage, workshop: Any, job: Any) -> None:
    beside = holdings(bench)
    beside.use.click()
    seal = part(workshop, "S4")
    workshop.use_part(job.id, seal.id, str(seal.count), JORY)
    beside.list.choose(0)
    press(Qt.Key.Key_Return)
    assert "Jory Pell took the last one for job 2407" in beside.refusal.text()


def test_a_fitted_piece_is_said_to_be(bench: BenchPage, workshop: Any, job: Any) -> None:
    for entry, place in ((ONE, "B3"), (OTHER, "B4")):
        workshop.take_from_drawer(job.id, "preload", entry, 1, part(workshop, place).id, TAM)
    for entry in ("torque_forward", "torque_back"):
        workshop.record(job.id, "preload", entry, "0.6", trial=1)
    workshop.record(job.id, "preload", "accepted", "yes", trial=1)
    bench.look_again()
    settle()
    assert lines(bench) == [
        "Ring on the ring-gear side: ring from B3, fitted",
        "Ring on the opposite side: ring from B4, fitted",
    ]


# -- how it reads ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("scale", [100, 150])
def test_the_bench_passes_the_audit_with_pieces_offered(
    make: Callable[..., BenchPage], workshop: Any, job: Any, scale: int
) -> None:
    bench = make(scale)
    workshop.use_part(job.id, part(workshop, "S1").id, "1", TAM)
    workshop.take_from_drawer(job.id, "preload", OTHER, 1, part(workshop, "B4").id, TAM)
    bench.look_again()
    field = arm(bench, ONE)
    holdings(bench).use.click()
    settle()
    field = arm(bench, ONE)
    assert_accessible(bench)
    assert_nothing_cut_off(panel(field))
    assert_nothing_cut_off(holdings(bench))
