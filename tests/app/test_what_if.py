"""What if, at the bench: gears moved by keys, mouse and typing, the prints following, and nothing written by it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order, name_of
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from told import demo_data

from app import theme
from app.bench.what_if_moves import MoveRow
from app.bench.what_if_view import WhatIfView
from app.settings import Settings
from app.window import Window
from core.drafts import JobDraft
from core.stages import stage as stage_of
from core.verdict import Answer

TAM = "Tam Ollerby"
KEY = Qt.Key
PRINTS = {"drive": ("48", "70", "52", "48"), "coast": ("50", "67", "50", "46")}


@pytest.fixture
def printed(workshop: Any, job: Any) -> Any:
    """Return the job with backlash accepted at 0.08 mm and a print high on both flanks."""
    for key, text in (("ring_gear_side", "2.52"), ("opposite_side", "2.53"), ("torque_forward", "0.70")):
        workshop.record(job.id, "preload", key, text, trial=1, person=TAM)
    workshop.record(job.id, "preload", "torque_back", "0.70", trial=1, person=TAM)
    workshop.record(job.id, "preload", "accepted", "yes", trial=1, person=TAM)
    for key, text in (("ring_gear_side", "2.52"), ("opposite_side", "2.53")):
        workshop.record(job.id, "backlash", key, text, trial=1, person=TAM)
    for place in stage_of("backlash").entry("backlash").positions:
        workshop.record(job.id, "backlash", "backlash", "0.08", position=place.key, trial=1, person=TAM)
    workshop.record(job.id, "backlash", "accepted", "yes", trial=1, person=TAM)
    for side, texts in PRINTS.items():
        for key, text in zip(("along", "depth", "length", "height"), texts, strict=True):
            workshop.record(job.id, "contact_pattern", f"{side}_{key}", text, trial=1, person=TAM)
    return job


@pytest.fixture
def window(qtbot: Any, qapp: QApplication, workshop: Any, tmp_path: Any) -> Iterator[Callable[..., Window]]:
    made: list[Window] = []

    def make(job: Any, scale: int = 100, width: int = 1280) -> Window:
        theme.apply(qapp, "light", scale)
        shown = Window(workshop, Settings(person=TAM, sheet_folder=str(tmp_path / "sheets"), path=None))
        made.append(shown)
        qtbot.addWidget(shown)
        shown.resize(width, 860)
        with qtbot.waitExposed(shown):
            shown.show()
        shown.activateWindow()
        shown.open_job(job.id)
        shown.bench.turn_to("contact_pattern")
        QCoreApplication.processEvents()
        return shown

    yield make
    for shown in made:
        shown.close()
    theme.apply(qapp, "light")


@pytest.fixture
def opened(qtbot: Any, window: Callable[..., Window]) -> Callable[..., WhatIfView]:
    """Return what opens the view on a job and waits for its answer."""

    def make(job: Any, **how: int) -> WhatIfView:
        desk = window(job, **how).bench.desks.what_if
        desk._push.click()
        qtbot.waitUntil(lambda: not desk.is_asking, timeout=30_000)
        QCoreApplication.processEvents()
        return desk.view

    return make


def end_of_trail(workshop: Any) -> tuple[int, str]:
    with workshop._logbook.look() as work:
        return tuple(work.head())


def said(view: WhatIfView) -> str:
    return " ".join(label.text() for label in (view.setting, *view.told))


def type_into(row: MoveRow, text: str) -> None:
    row.field.setFocus()
    row.field.selectAll()
    QTest.keyClick(row.field, KEY.Key_Delete)
    QTest.keyClicks(row.field, text)
    QTest.keyClick(row.field, KEY.Key_Return)


def test_the_push_stands_beside_the_contact_stage_alone(window: Callable[..., Window], printed: Any) -> None:
    bench = window(printed).bench
    (push,) = bench.desks.what_if.focusables(bench._page.aside)
    assert push.isVisibleTo(bench)
    bench.turn_to("backlash")
    assert bench.desks.what_if.focusables(bench._page.aside) == []


def test_it_opens_in_the_place_of_the_stage_and_escape_goes_back(
    opened: Callable[..., WhatIfView], workshop: Any, printed: Any
) -> None:
    before = end_of_trail(workshop)
    view = opened(printed)
    bench = view.window().bench
    assert view.isVisible() and not bench._body.isVisible()
    assert view.pinion.slider.hasFocus()
    assert said(view).startswith("As the gears stand now. Drive 4")
    for key in (KEY.Key_Right, KEY.Key_PageUp, KEY.Key_Left):
        QTest.keyClick(view.pinion.slider, key)
    QTest.keyClick(view.pinion.slider, KEY.Key_Escape)
    assert not view.isVisible() and bench._body.isVisible()
    assert bench.desks.what_if._push.hasFocus()
    assert end_of_trail(workshop) == before


def test_arrow_keys_step_and_the_prints_follow(opened: Callable[..., WhatIfView], printed: Any) -> None:
    view = opened(printed)
    drive = view.teeth.flanks["drive"]
    read, before = drive.draft.rings, drive._behind
    assert drive.centre_read == (0.48, 0.70) and drive._box
    assert read and before
    QTest.keyClick(view.pinion.slider, KEY.Key_Left)
    assert (view.pinion.value_mm, view.pinion.field.text()) == (pytest.approx(-0.01), "-0.010")
    QTest.keyClick(view.pinion.slider, KEY.Key_PageDown)
    assert view.pinion.value_mm == pytest.approx(-0.06)
    assert "Pinion 0.060 mm toward the ring gear's axis." in said(view)
    assert drive._behind != before and drive.draft.rings == read
    assert min(depth for ring in drive._behind for _, depth in ring) < min(d for ring in before for _, d in ring)
    assert drive.accessibleDescription() == view.told[0].text()


def test_backlash_and_ring_gear_move_each_other(opened: Callable[..., WhatIfView], printed: Any) -> None:
    view = opened(printed)
    assert (view.backlash.field.text(), view.gear.field.text()) == ("0.080", "0.000")
    type_into(view.gear, "0.1")
    assert view.gear.field.text() == "+0.100"
    assert view.backlash.value_mm == pytest.approx(0.15, abs=0.01)
    assert view.mark.answer is Answer.DOES_NOT_CONFORM and "above the limit" in said(view)
    type_into(view.backlash, "0.09")
    assert view.backlash.field.text() == "0.090"
    assert 0.0 < view.gear.value_mm < 0.02
    assert view.mark.answer is Answer.CONFORMS and "within the limit" in said(view)
    view.pinion.slider.setFocus()
    QTest.keyClick(view.pinion.slider, KEY.Key_PageDown)
    assert view.gear.value_mm == pytest.approx(0.0143, abs=0.002), "the ring gear stays when the pinion moves"
    assert view.backlash.value_mm < 0.08


def test_what_cannot_be_taken_stays_typed_and_escape_takes_it_back_first(
    opened: Callable[..., WhatIfView], printed: Any
) -> None:
    view = opened(printed)
    for text, why in (("far", "does not begin with a number"), ("3 mm", "goes from -0.500 to 0.500 mm")):
        type_into(view.pinion, text)
        assert view.pinion.field.text() == text and why in view.pinion.refusal.text()
        assert view.pinion.value_mm == 0.0 and said(view).startswith("As the gears stand now.")
    QCoreApplication.processEvents()
    assert not view.pinion.refusal.visibleRegion().isEmpty()
    QTest.keyClick(view.pinion.field, KEY.Key_Escape)
    assert (view.pinion.field.text(), view.pinion.refusal.text()) == ("0.000", "")
    assert view.isVisible()
    QTest.keyClick(view.pinion.field, KEY.Key_Escape)
    assert not view.isVisible()


def test_the_advised_setting_is_shown_and_left_again(
    opened: Callable[..., WhatIfView], workshop: Any, printed: Any
) -> None:
    view = opened(printed)
    QTest.mouseClick(view.advised, Qt.MouseButton.LeftButton)
    text = workshop.advice(printed.id, "contact_pattern").text
    assert f"Move the pinion {abs(view.pinion.value_mm):.3f} mm toward" in text
    assert f"{abs(view.gear.value_mm):.3f} mm away from the pinion" in text
    assert "Rings 2." in said(view) and "from" in said(view)
    QTest.mouseClick(view.stands, Qt.MouseButton.LeftButton)
    assert (view.pinion.value_mm, view.gear.value_mm) == (0.0, 0.0)


def test_before_any_print_it_rests_on_the_card_and_says_so(opened: Callable[..., WhatIfView], job: Any) -> None:
    view = opened(job)
    assert "No print was read yet" in view.sources.text()
    assert not view.advised.isEnabled() and view.stands.isEnabled()
    assert view.teeth.flanks["drive"].draft.rings == () and view.teeth.flanks["drive"]._behind
    assert "solid" not in view.key.text() and "dot" not in view.key.text()
    assert view.teeth.flanks["drive"].centre_read is None
    QTest.keyClick(view.pinion.slider, KEY.Key_Right)
    assert view.pinion.value_mm == pytest.approx(0.01)


def test_sizes_no_set_can_have_are_told_and_nothing_can_be_moved(
    opened: Callable[..., WhatIfView], workshop: Any
) -> None:
    facts = next(card["facts"] for card in demo_data("spec_cards") if card["family"] == "Orrin B")
    card = workshop.save_card("Odd 1", {}, facts | {"pinion_offset": "95 mm"})
    draft = JobDraft("2411", "K-1", "Brackwater", "", "special", "A look.", "41", "9", card_id=card.id)
    view = opened(workshop.new_job(draft, TAM))
    assert view.note.text().startswith("The sizes on the card fit no set of gears:")
    assert view.back.hasFocus() and not view.stands.isEnabled() and not view.teeth.isVisible()
    assert not view.lead.isVisible(), "nothing can be moved"
    QTest.keyClick(view.back, KEY.Key_Escape)
    assert not view.isVisible()


def test_what_another_bench_writes_is_taken_in_and_the_setting_stays(
    opened: Callable[..., WhatIfView], qtbot: Any, workshop: Any, printed: Any
) -> None:
    view = opened(printed)
    type_into(view.pinion, "-0.05")
    before = view.told[0].text()
    for side in PRINTS:
        workshop.record(printed.id, "contact_pattern", f"{side}_depth", "40", trial=1, person="Jory Pell")
    bench = view.window().bench
    view.back.setFocus()
    bench.look_again()
    qtbot.waitUntil(lambda: view.told[0].text() != before, timeout=30_000)
    assert view.pinion.value_mm == pytest.approx(-0.05)
    assert view.back.hasFocus()


def test_turning_to_another_stage_closes_it(opened: Callable[..., WhatIfView], printed: Any) -> None:
    view = opened(printed)
    bench = view.window().bench
    bench.turn_to("backlash")
    assert not view.isVisible() and bench._body.isVisible()


def test_lengths_are_typed_and_told_in_the_unit_of_the_job(
    opened: Callable[..., WhatIfView], workshop: Any, printed: Any
) -> None:
    workshop.record(printed.id, "contact_pattern", "pinion_shim", "0.0512 in", trial=1, person=TAM)
    view = opened(printed)
    type_into(view.pinion, "-0.002")
    assert view.pinion.value_mm == pytest.approx(-0.0508)
    assert (view.pinion.field.text(), view.pinion.unit.text()) == ("-0.0020", "in")
    assert "0.0020 in toward" in said(view)


@pytest.mark.parametrize(("scale", "width"), [(100, 1280), (150, 1000), (200, 820)])
def test_every_control_is_named_in_order_and_nothing_is_cut_off(
    opened: Callable[..., WhatIfView], printed: Any, scale: int, width: int
) -> None:
    view = opened(printed, scale=scale, width=width)
    type_into(view.backlash, "9 mm")
    QCoreApplication.processEvents()
    bench = view.window().bench
    assert_accessible(bench)
    assert_visual_order(bench, [bench.header, bench.stages, view.back.parentWidget(), view._area.widget()])
    assert_nothing_cut_off(view)
    assert name_of(view.gear.slider) == "Ring-gear position, slider"
    assert view.gear.slider.accessibleDescription() == "0.000 mm"
    QTest.keyClick(view, KEY.Key_Escape)
    assert_accessible(bench)


@pytest.mark.parametrize(
    ("row", "text", "value_mm"),
    [
        ("pinion", "-2 thou", -0.0508),
        ("pinion", '+.003"', 0.0762),
        ("pinion", "-0,04", -0.04),
        ("gear", "0.002 in", 0.0508),
        ("gear", "-30 µm", -0.03),
        ("backlash", "4 thou", 0.1016),
        ("backlash", "0.09 mm", 0.09),
    ],
)
def test_each_value_is_typed_in_either_system(
    opened: Callable[..., WhatIfView], printed: Any, row: str, text: str, value_mm: float
) -> None:
    view = opened(printed)
    type_into(getattr(view, row), text)
    assert getattr(view, row).value_mm == pytest.approx(value_mm, abs=0.0006)
    assert getattr(view, row).refusal.text() == ""


@pytest.mark.parametrize("row", ["pinion", "gear", "backlash"])
def test_what_no_length_can_be_is_refused_in_a_sentence_and_stays_typed(
    opened: Callable[..., WhatIfView], printed: Any, row: str
) -> None:
    view = opened(printed)
    before, moved = said(view), getattr(view, row)
    value_mm = moved.value_mm
    for text in ("", "mm", "3 Nm", "9 mm", "-9 mm", "0.1.2", "nan", "1e9"):
        type_into(moved, text)
        assert moved.field.text() == text
        assert moved.refusal.text().endswith(".") and len(moved.refusal.text()) > 20, text
        assert (moved.value_mm, said(view)) == (value_mm, before)


def test_what_was_refused_stays_while_another_gear_is_moved(opened: Callable[..., WhatIfView], printed: Any) -> None:
    view = opened(printed)
    type_into(view.gear, "oops")
    why = view.gear.refusal.text()
    QTest.keyClick(view.pinion.slider, KEY.Key_Left)
    type_into(view.backlash, "0.09")
    assert (view.gear.field.text(), view.gear.refusal.text()) == ("oops", why)
    assert view.gear.value_mm > 0.0 and view.gear.slider.value() > 0, "the backlash moved it"
    QTest.keyClick(view.gear.slider, KEY.Key_Right)
    assert view.gear.refusal.text() == "" and view.gear.field.text().startswith("+0.0")
    type_into(view.gear, "oops")
    QTest.mouseClick(view.stands, Qt.MouseButton.LeftButton)
    assert (view.gear.field.text(), view.gear.refusal.text()) == ("0.000", "")
    type_into(view.gear, "oops")
    QTest.keyClick(view.back, KEY.Key_Escape)
    press_key(view.window())
    assert view.gear.refusal.text() == "" and view.gear.field.text() != "oops"


def test_the_key_opens_it_from_any_stage_and_page(
    window: Callable[..., Window], qtbot: Any, workshop: Any, printed: Any
) -> None:
    shown = window(printed)
    desk = shown.bench.desks.what_if
    for go in (lambda: shown.bench.turn_to("fill"), shown.show_desk, shown.show_shop):
        go()
        QCoreApplication.processEvents()
        press_key(shown)
        assert shown.pages.currentWidget() is shown.bench and desk.view.isVisible()
        qtbot.waitUntil(lambda: not desk.is_asking, timeout=30_000)
        QTest.keyClick(desk.view, KEY.Key_Escape)
        assert shown.bench.column.isVisible()
        assert desk._push is not None and desk._push.hasFocus()


def test_the_key_once_more_leaves_the_setting_as_it_is(opened: Callable[..., WhatIfView], printed: Any) -> None:
    view = opened(printed)
    type_into(view.pinion, "-0.05")
    press_key(view.window())
    assert view.isVisible() and view.pinion.value_mm == pytest.approx(-0.05)


def test_the_key_without_a_job_says_where_to_find_one(qtbot: Any, workshop: Any, job: Any) -> None:
    shown = Window(workshop, Settings(person=TAM, path=None))
    qtbot.addWidget(shown)
    with qtbot.waitExposed(shown):
        shown.show()
    press_key(shown)
    assert shown.pages.currentWidget() is shown.desk
    assert "No job is open" in shown.message.sentence.text()
    shown.close()


def press_key(shown: Any) -> None:
    shown.activateWindow()
    QTest.keyClick(shown, KEY.Key_W, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    QCoreApplication.processEvents()
