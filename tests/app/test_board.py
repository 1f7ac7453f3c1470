"""The contact board: prints drawn by hand, by keys and by shape; they and their numbers agree, and nothing is lost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from math import cos, pi, sin
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QInputDevice, QPointingDevice, QTabletEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton

from app import theme
from app.bench.contact_desk import centre_box
from app.bench.lines import trial_words
from app.bench.page import BenchPage
from app.board.canvas import Canvas
from app.settings import Settings
from app.widgets import EntryField
from core import language
from core.outlines import read_outline
from core.shop_inputs import LimitText
from core.stages.prints import NUMBERS

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
STAGE = "contact_pattern"


@pytest.fixture
def bench(qtbot: Any, qapp: QApplication, workshop: Any, job: Any, clock: Any) -> Iterator[BenchPage]:
    theme.apply(qapp, "light", 100)
    page = BenchPage(workshop, Settings(person="Tam Ollerby"), lambda: page.stopped_at or clock.now)
    page.stopped_at = None
    qtbot.addWidget(page)
    page.resize(1280, 800)
    with qtbot.waitExposed(page):
        page.show()
    page.activateWindow()
    page.show_job(job.id)
    page.turn_to(STAGE)
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
    yield page
    page.close()
    language.use_translation(None)
    theme.apply(qapp, "light", 100)


def board(bench: BenchPage, side: str = "drive", trial: int = 1) -> EntryField:
    field = bench.column.field(f"{side}_outline", "", trial)
    field.setFocus(Qt.FocusReason.OtherFocusReason)
    QApplication.processEvents()
    return field


def regions(page: BenchPage) -> list[Any]:
    return [page.header, page.stages, page._body.left, page._body.right, page.gauges]


def canvas(field: EntryField) -> Canvas:
    found = field.editor.canvas
    assert isinstance(found, Canvas)
    return found


def press(field: EntryField, key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(canvas(field), key, held)


def at(field: EntryField, along: float, depth: float) -> QPoint:
    return QPointF(*canvas(field).view().at(along, depth)).toPoint()


def stroke(field: EntryField, *places: QPoint, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.mousePress(canvas(field), Qt.MouseButton.LeftButton, held, places[0])
    for place in places[1:]:
        QTest.mouseMove(canvas(field), place)
    QTest.mouseRelease(canvas(field), Qt.MouseButton.LeftButton, held, places[-1])


def oval(field: EntryField, along: float, depth: float, length: float = 0.4, height: float = 0.5) -> list[QPoint]:
    turns = [2 * pi * step / 24 for step in range(24)]
    return [at(field, along + length / 2 * cos(turn), depth + height / 2 * sin(turn)) for turn in turns]


def shown(bench: BenchPage, side: str = "drive", trial: int = 1) -> list[str]:
    return [bench.column.field(side + end, "", trial).text() for end in NUMBERS]


def readings(workshop: Any, job: Any) -> Any:
    return workshop.state(job.id).context.readings


def stored(workshop: Any, job: Any, entry: str, trial: int = 1) -> str:
    return str(workshop.state(job.id).context.text(STAGE, entry, trial=trial))


# -- drawn -------------------------------------------------------------------------------------------------------------


def test_a_print_is_drawn_and_its_numbers_follow_at_once(bench: BenchPage, workshop: Any, job: Any) -> None:
    field = board(bench)
    stroke(field, *oval(field, 0.4, 0.55))
    values = [float(text) for text in shown(bench)]
    assert values == pytest.approx([40, 55, 40, 50], abs=3)
    assert "% along" in canvas(field).accessibleDescription()
    # Until it is kept it is a draft, like anything typed.
    assert readings(workshop, job) == ()
    press(field, Qt.Key.Key_Return)
    assert [float(stored(workshop, job, "drive" + end)) for end in NUMBERS] == values
    assert len(readings(workshop, job)) == 5
    assert field.property("is_saved") is True
    assert QApplication.focusWidget() is canvas(bench.column.field("coast_outline", "", 1))


def test_leaving_the_board_keeps_the_print(bench: BenchPage, workshop: Any, job: Any) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_1)
    bench.column.field("pinion_shim", "", 1).setFocus(Qt.FocusReason.OtherFocusReason)
    assert [stored(workshop, job, "drive" + end) for end in NUMBERS] == ["50", "50", "50", "60"]


def test_the_patch_is_dragged_and_pulled_by_its_handles(bench: BenchPage) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_1)
    stroke(field, at(field, 0.5, 0.5), at(field, 0.55, 0.5), at(field, 0.6, 0.6))
    assert [float(text) for text in shown(bench)] == pytest.approx([60, 60, 50, 60], abs=1)
    stroke(field, at(field, 0.85, 0.6), at(field, 0.8, 0.6))
    assert [float(text) for text in shown(bench)] == pytest.approx([60, 60, 40, 60], abs=2)
    stroke(field, at(field, 0.6, 0.9), at(field, 0.6, 0.8))
    assert [float(text) for text in shown(bench)] == pytest.approx([60, 60, 40, 40], abs=2)
    for _ in range(3):
        press(field, Qt.Key.Key_Backspace)
    assert shown(bench) == ["50", "50", "50", "60"]


def test_the_patch_is_turned_by_its_round_handle(bench: BenchPage) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_1)
    stroke(field, at(field, 0.75, 0.8), at(field, 0.74, 0.9))
    assert "tilted" in field.editor.told.text()


def test_a_press_that_does_not_move_is_no_stroke(bench: BenchPage) -> None:
    field = board(bench)
    QTest.mouseClick(canvas(field), Qt.MouseButton.LeftButton, pos=at(field, 0.2, 0.2))
    assert field.text() == ""


def test_a_second_patch_beside_the_first(bench: BenchPage) -> None:
    field = board(bench)
    stroke(field, *oval(field, 0.2, 0.5, 0.25))
    stroke(field, *oval(field, 0.8, 0.5, 0.25), held=SHIFT)
    assert len(read_outline(field.text())) == 2
    assert "2 patches" in canvas(field).accessibleDescription()
    # Over each other they are no two patches; what stands is kept, and it is said why.
    before = field.text()
    stroke(field, *oval(field, 0.7, 0.5, 0.25), held=SHIFT)
    assert field.text() == before
    assert "lie over each other" in field.editor.said.text()
    field.editor.add.click()
    stroke(field, *oval(field, 0.5, 0.5, 0.1))
    assert len(read_outline(field.text())) == 3


def test_a_stroke_beside_the_tooth_is_said_and_costs_nothing(bench: BenchPage) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_1)
    before = field.text()
    stroke(field, QPoint(2, 2), QPoint(20, 4), QPoint(60, 3))
    assert field.text() == before
    assert "encloses nothing" in field.editor.said.text()


# -- keys --------------------------------------------------------------------------------------------------------------


def test_everything_goes_by_keys(bench: BenchPage) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_Left)
    assert "Nothing is drawn yet" in field.editor.said.text()
    press(field, Qt.Key.Key_1)
    # The drive flank of a right-hand gear has its toe to the right: the print goes where the arrow points.
    press(field, Qt.Key.Key_Right)
    assert shown(bench)[0] == "49"
    press(field, Qt.Key.Key_Left, SHIFT)
    assert shown(bench)[0] == "54"
    press(field, Qt.Key.Key_Up)
    press(field, Qt.Key.Key_Right, CTRL)
    press(field, Qt.Key.Key_Down, CTRL | SHIFT)
    assert shown(bench) == ["54", "51", "51", "55"]
    for _ in range(5):
        press(field, Qt.Key.Key_Plus)
    assert "tilted 5°" in canvas(field).accessibleDescription()
    for _ in range(8):
        press(field, Qt.Key.Key_Minus)
    assert "tilted −3°" in canvas(field).accessibleDescription()
    press(field, Qt.Key.Key_Z, CTRL)
    assert "tilted −2°" in canvas(field).accessibleDescription()
    press(field, Qt.Key.Key_Delete)
    assert shown(bench) == [""] * 4
    press(field, Qt.Key.Key_Backspace)
    assert shown(bench)[0] == "54"


def test_every_key_is_named_on_the_page(bench: BenchPage) -> None:
    board(bench)
    pair = bench.column.pairs()[0]
    said = " ".join(label.text() for label in pair.findChildren(QLabel) if label.isVisible())
    for key in ("Arrow keys", "Shift", "Ctrl", "+ and −", "1 to 8", "Backspace", "Delete", "Enter", "Escape"):
        assert key in said
    names = [button.text() for button in pair.findChildren(QPushButton) if button.isVisible()]
    assert names[0] == "1 centred"
    assert names[7] == "8 along the edge"


def test_shapes_by_button_leave_the_keys_on_the_tooth(bench: BenchPage) -> None:
    field = board(bench)
    button = next(b for b in bench.column.pairs()[0].findChildren(QPushButton) if b.text() == "2 at the toe")
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert shown(bench)[0] == "25"
    assert QApplication.focusWidget() is canvas(field)
    field.editor.undo.click()
    assert field.text() == ""
    assert "at the toe" in button.accessibleName()


def test_at_the_edge_the_print_stops_and_it_is_said(bench: BenchPage) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_2)
    for _ in range(9):
        press(field, Qt.Key.Key_Right, SHIFT)
    assert shown(bench)[0] == "21"
    assert "reached the edge" in field.editor.said.text()


def test_escape_gives_the_change_up(bench: BenchPage, workshop: Any, job: Any) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_3)
    assert shown(bench)[0] == "75"
    press(field, Qt.Key.Key_Escape)
    assert field.text() == ""
    assert shown(bench) == [""] * 4
    assert readings(workshop, job) == ()


# -- numbers and print agree -------------------------------------------------------------------------------------------


def test_typing_a_number_moves_the_patch(bench: Any, workshop: Any, job: Any) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_1)
    press(field, Qt.Key.Key_Return)
    # A slip of a moment ago needs no words.
    bench.stopped_at = readings(workshop, job)[-1].taken_at
    number = bench.column.field("drive_along", "", 1)
    number.setFocus(Qt.FocusReason.OtherFocusReason)
    QTest.keyClicks(QApplication.focusWidget(), "56")
    bench.column.field("drive_depth", "", 1).setFocus(Qt.FocusReason.OtherFocusReason)
    assert stored(workshop, job, "drive_along") == "56"
    assert field.editor.told.text().startswith("56 % along")
    assert field.text() == stored(workshop, job, "drive_outline")


def test_numbers_typed_alone_are_drawn_round_and_become_an_outline_when_changed(
    bench: Any, workshop: Any, job: Any
) -> None:
    for end, text in zip(NUMBERS, ("46", "52", "48", "62"), strict=True):
        workshop.record(job.id, STAGE, "drive" + end, text, trial=1)
    bench.look_again()
    field = board(bench)
    assert field.text() == ""
    assert field.editor.told.text() == "46 % along, 52 % up, 48 × 62 %"
    press(field, Qt.Key.Key_Delete)
    assert "take them back in their fields" in field.editor.said.text()
    press(field, Qt.Key.Key_Up)
    assert shown(bench) == ["46", "53", "48", "62"]
    bench.stopped_at = readings(workshop, job)[0].taken_at
    bench.column.field("pinion_shim", "", 1).setFocus(Qt.FocusReason.OtherFocusReason)
    assert stored(workshop, job, "drive_depth") == "53"
    assert stored(workshop, job, "drive_outline")


def test_numbers_that_reach_over_the_edge_are_told_as_typed_and_drawn_up_to_it(
    bench: BenchPage, workshop: Any, job: Any
) -> None:
    for end, text in zip(NUMBERS, ("10", "52", "48", "62"), strict=True):
        workshop.record(job.id, STAGE, "drive" + end, text, trial=1)
    bench.look_again()
    field = board(bench)
    assert field.editor.told.text() == "10 % along, 52 % up, 48 × 62 %"
    assert "reach over the edge" in field.editor.said.text()
    assert min(a for ring in canvas(field).draft.rings for a, _ in ring) == 0.0


def test_one_flank_only_the_page_asks_for_the_other(bench: BenchPage, workshop: Any, job: Any) -> None:
    workshop.record(job.id, STAGE, "drag", "light")
    bench.look_again()
    assert bench.next_thing.text().startswith("Trial 1: Draw the print on the drive side")
    field = board(bench)
    press(field, Qt.Key.Key_1)
    press(field, Qt.Key.Key_Return)
    assert bench.next_thing.text().startswith("Trial 1: Draw the print on the coast side")


def test_a_correction_asks_why_and_writes_all_with_the_reason(
    bench: BenchPage, workshop: Any, job: Any, clock: Any
) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_1)
    press(field, Qt.Key.Key_Return)
    clock.now += timedelta(hours=1)
    field = board(bench)
    press(field, Qt.Key.Key_Left)
    press(field, Qt.Key.Key_Return)
    assert stored(workshop, job, "drive_along") == "50"
    QTest.keyClicks(QApplication.focusWidget(), "seen again in daylight")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert stored(workshop, job, "drive_along") == "51"
    last = readings(workshop, job)[-2:]
    assert [(r.entry, r.reason) for r in last] == [
        ("drive_outline", "seen again in daylight"),
        ("drive_along", "seen again in daylight"),
    ]


def test_typed_numbers_of_old_are_not_drawn_over_without_a_reason(
    bench: BenchPage, workshop: Any, job: Any, clock: Any
) -> None:
    for end, text in zip(NUMBERS, ("46", "52", "48", "62"), strict=True):
        workshop.record(job.id, STAGE, "drive" + end, text, trial=1)
    clock.now += timedelta(hours=1)
    bench.look_again()
    field = board(bench)
    press(field, Qt.Key.Key_2)
    press(field, Qt.Key.Key_Return)
    assert stored(workshop, job, "drive_along") == "46"
    assert bench.unsaved() == ["Print on the drive side, trial 1"]


def test_the_print_as_found_lies_behind_each_trial(bench: BenchPage, workshop: Any, job: Any) -> None:
    workshop.record(job.id, "teardown", "contact_drive_outline", "20 30; 60 30; 60 70; 20 70")
    bench.look_again()
    assert canvas(board(bench))._behind == read_outline("20 30; 60 30; 60 70; 20 70")
    assert canvas(board(bench, "coast"))._behind == ()
    assert bench.column.pairs()[0].note.text().startswith("dashed: the print as found")


def test_the_page_says_which_gear_it_is_and_which_sizes_are_only_bands(bench: BenchPage) -> None:
    said = bench.column.pairs()[0].note.text().splitlines()
    assert said == [
        "cross: the print's centre; box: where the card wants it",
        "right-hand ring gear, its convex flank drives forward",
        "not on the card, as usual for its size: cutter radius 81 mm (71 – 97 mm)",
    ]


def test_the_cards_box_and_the_centre_are_painted(bench: BenchPage, job: Any) -> None:
    field = board(bench)
    assert canvas(field)._box == ((0.4, 0.4), (0.6, 0.4), (0.6, 0.6), (0.4, 0.6))
    assert centre_box(replace(job.card, limits={})) == ()
    only_low = replace(job.card.limits["contact_depth"], high=None)
    assert centre_box(replace(job.card, limits={"contact_depth": only_low})) == (
        (0.0, 0.4), (1.0, 0.4), (1.0, 1.0), (0.0, 1.0)
    )  # fmt: skip
    # The centre of two patches lies between them: ink on the bare tooth.
    press(field, Qt.Key.Key_7)
    bench.column.field("pinion_shim", "", 1).setFocus(Qt.FocusReason.OtherFocusReason)
    QTest.qWait(20)
    place, picture = at(field, 0.5, 0.5), canvas(field).grab().toImage()
    assert picture.pixelColor(place) == QColor(theme.current().colours.ink)
    canvas(field).marks_centre = False
    assert canvas(field).grab().toImage().pixelColor(place) != QColor(theme.current().colours.ink)


def test_a_print_in_patches_says_what_that_means(bench: BenchPage) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_1)
    assert field.editor.said.text() == "" or "patches" not in field.editor.said.text()
    press(field, Qt.Key.Key_7)
    assert "take a second one with little compound before anything is moved" in field.editor.said.text()
    assert "take a second one" in canvas(field).accessibleDescription()
    press(field, Qt.Key.Key_1)
    assert "take a second one" not in field.editor.said.text()


def pen_stroke(field: EntryField, *places: QPoint, is_eraser: bool = False) -> None:
    ends = QPointingDevice.PointerType
    pen = QPointingDevice(
        "pen", 7, QInputDevice.DeviceType.Stylus, ends.Eraser if is_eraser else ends.Pen,
        QInputDevice.Capability.Position | QInputDevice.Capability.Pressure, 1, 1,
    )  # fmt: skip
    kinds = [QEvent.Type.TabletPress, *[QEvent.Type.TabletMove] * (len(places) - 1), QEvent.Type.TabletRelease]
    for kind, place in zip(kinds, [*places, places[-1]], strict=True):
        buttons = Qt.MouseButton.NoButton if kind == QEvent.Type.TabletRelease else Qt.MouseButton.LeftButton
        told = QTabletEvent(
            kind, pen, QPointF(place), QPointF(canvas(field).mapToGlobal(place)), 0.6, 0.0, 0.0, 0.0, 0.0, 0.0,
            Qt.KeyboardModifier.NoModifier, Qt.MouseButton.LeftButton, buttons,
        )  # fmt: skip
        QApplication.sendEvent(canvas(field), told)
        assert told.isAccepted() is not field.editor.canvas.is_read_only


def test_a_pen_draws_moves_and_takes_off(bench: BenchPage) -> None:
    field = board(bench, "coast")
    bench.column.field("pinion_shim", "", 1).setFocus(Qt.FocusReason.OtherFocusReason)
    pen_stroke(field, *oval(field, 0.4, 0.55))
    assert [float(text) for text in shown(bench, "coast")] == pytest.approx([40, 55, 40, 50], abs=3)
    assert QApplication.focusWidget() is canvas(field)
    pen_stroke(field, at(field, 0.4, 0.55), at(field, 0.45, 0.55), at(field, 0.5, 0.55))
    assert [float(text) for text in shown(bench, "coast")] == pytest.approx([50, 55, 40, 50], abs=3)
    pen_stroke(field, at(field, 0.1, 0.1), is_eraser=True)
    assert shown(bench, "coast") == [""] * 4
    press(field, Qt.Key.Key_Backspace)
    assert float(shown(bench, "coast")[0]) == pytest.approx(50, abs=3)
    field.editor.set_read_only(True)
    pen_stroke(field, *oval(field, 0.2, 0.5, 0.2))
    assert float(shown(bench, "coast")[0]) == pytest.approx(50, abs=3)


# -- for everybody -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("scheme", "scale"), [("light", 100), ("dark", 125), ("contrast", 150), ("light", 200)])
def test_names_order_and_room_at_every_text_size(qapp: QApplication, bench: BenchPage, scheme: str, scale: int) -> None:
    field = board(bench)
    press(field, Qt.Key.Key_7)
    theme.apply(qapp, scheme, scale)
    bench.theme_changed()
    QTest.qWait(50)
    assert_accessible(bench)
    assert_visual_order(bench, regions(bench))
    assert_nothing_cut_off(bench)
    view = canvas(field).view()
    # True proportions at any size: half way along, the depth is the length over the tooth's proportion.
    length = abs(view.heel - view.toe)
    assert length / abs(view.rise) == pytest.approx(canvas(field)._tooth.proportion)
    assert 0 < view.at(1.0, 1.0)[1] < view.at(1.0, 0.0)[1] < canvas(field).height()
    buttons = [b for b in bench.column.pairs()[0].findChildren(QPushButton) if b.isVisible()]
    assert min(button.height() for button in buttons) >= theme.current().px(44) - 1


def test_a_left_hand_gear_shows_the_coast_side_on_the_left(
    qtbot: Any, workshop: Any, job: Any, bench: BenchPage
) -> None:
    card = job.card
    facts = {key: fact.text for key, fact in card.facts.items()} | {"gear_hand": "left", "drive_flank": "convex"}
    limits = {key: LimitText(limit.low_text, limit.high_text, limit.source) for key, limit in card.limits.items()}
    workshop.save_card(card.family, limits, facts, "Tam Ollerby")
    newest = max((c for c in workshop.cards() if c.family == card.family), key=lambda c: c.revision)
    from core.drafts import JobDraft

    other = workshop.new_job(
        JobDraft(
            number="2999", serial="K-1184", customer="Brackwater Hill-climb Club", vehicle="", asked_for="",
            ring_gear_teeth="43", pinion_teeth="11", tag_ratio="", is_limited_slip=False, card_id=newest.id,
        ),
        "Tam Ollerby",
    )  # fmt: skip
    bench.show_job(other.id)
    bench.turn_to(STAGE)
    pair = bench.column.pairs()[0]
    assert [field.entry.key for field in pair.fields] == ["coast_outline", "drive_outline"]
    QTest.qWait(20)
    assert pair.fields[0].x() < pair.fields[1].x()
    assert pair.fields[1].editor.side.text() == "convex flank"
    assert_visual_order(bench, regions(bench))
    field = board(bench)
    press(field, Qt.Key.Key_1)
    press(field, Qt.Key.Key_Right)
    assert shown(bench)[0] == "51"


def test_a_signed_job_is_only_looked_at(bench: BenchPage) -> None:
    field = board(bench)
    field.editor.set_read_only(True)
    press(field, Qt.Key.Key_1)
    stroke(field, *oval(field, 0.5, 0.5))
    assert field.text() == ""


def test_no_word_of_it_escapes_translation(bench: BenchPage, job: Any) -> None:
    language.use_translation(lambda text: f"⟦{text}⟧")
    bench.show_job(job.id)
    bench.turn_to(STAGE)
    field = board(bench)
    press(field, Qt.Key.Key_Left)
    press(field, Qt.Key.Key_7)
    pair = bench.column.pairs()[0]
    texts = [w.text() for kind in (QLabel, QPushButton) for w in pair.findChildren(kind) if w.isVisible() and w.text()]
    assert texts
    assert [text for text in texts if not text.startswith("⟦")] == []
    told = (canvas(field).accessibleName(), canvas(field).accessibleDescription())
    assert all(text.startswith("⟦") for text in told)


def test_an_earlier_trial_is_told_by_flank(bench: BenchPage, workshop: Any, job: Any) -> None:
    for side, along in (("drive", "46"), ("coast", "53")):
        for end, text in zip(NUMBERS, (along, "52", "48", "62"), strict=True):
            workshop.record(job.id, STAGE, side + end, text, trial=1)
    workshop.record(job.id, STAGE, "pinion_shim", "1.22", trial=1)
    (trial, *_) = workshop.state(job.id).stage(STAGE).trials
    assert trial_words(trial) == "drive 46 % along, 52 % up; coast 53 % along, 52 % up; 1.220 mm"
    # A centre that was read one way only is none.
    workshop.record(job.id, STAGE, "coast_along", "46", trial=2)
    assert trial_words(workshop.state(job.id).stage(STAGE).trials[1]) == ""
