"""The drawer on the shop's page: found, added, measured, counted, ordered, by keyboard, and readable."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QRadioButton, QWidget

from app import theme
from app.drawer.drawer_section import SHELVES, DrawerSection
from app.drawer.part_forms import ACTS
from app.drawer.part_rows import MOVE_WORDS, part_facts, spread_words, warning
from app.jobs.panes import Panes
from core.facts import PART_WORDS, Part, Shop
from core.records import tables

OWNER, JORY = "Wren Hask", "Jory Pell"


class Who:
    """Who is at the bench, as the window would say."""

    name = OWNER

    def __call__(self) -> str:
        return self.name


@pytest.fixture
def who() -> Who:
    return Who()


@pytest.fixture
def make(qtbot: Any, qapp: QApplication, who: Who) -> Iterator[Callable[..., DrawerSection]]:
    def made(workshop: Any, scale: int = 100) -> DrawerSection:
        theme.apply(qapp, "light", scale)
        section = DrawerSection(workshop, who)
        section.resize(1360, 800)
        qtbot.addWidget(section)
        with qtbot.waitExposed(section):
            section.show()
        section.activateWindow()
        return section

    yield made
    theme.apply(qapp, "light")


@pytest.fixture
def section(make: Callable[..., DrawerSection], workshop: Any) -> DrawerSection:
    return make(workshop)


def settle() -> None:
    for _ in range(3):
        QCoreApplication.processEvents()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def focused(section: QWidget) -> QWidget:
    now = section.window().focusWidget()
    assert now is not None
    return now


def type_through(section: QWidget, *texts: str) -> None:
    for text in texts:
        QTest.keyClicks(focused(section), text)
        QTest.keyClick(focused(section), Qt.Key.Key_Return)


def places(section: DrawerSection) -> list[str]:
    return [line.part.place for line in section.list.rows_model.rows]


def choose(section: DrawerSection, place: str) -> None:
    section.list.choose(places(section).index(place))


def part(workshop: Any, place: str) -> Part:
    return next(part for part in workshop.parts() if part.place == place)


def push(section: DrawerSection, key: str) -> None:
    QTest.mouseClick(section.chosen.pushes[key], Qt.MouseButton.LeftButton)
    settle()


def refusals(form: Any) -> dict[str, str]:
    return {key: field.refusal for key, field in form.fields.items() if field.refusal}


def told(section: DrawerSection) -> list[tuple[str, ...]]:
    return [row.cells for row in section.chosen.moves.rows_model.rows]


# -- what is seen ------------------------------------------------------------------------------------------------------


def test_every_kind_and_move_has_its_word() -> None:
    assert set(SHELVES) == {"all", "to_order", *PART_WORDS}
    named = next(c.sqltext.text for c in tables.part_move.constraints if c.name and "what" in str(c.name))
    assert {f"'{what}'" in named for what in MOVE_WORDS} == {True}
    assert named.count("'") == 2 * len(MOVE_WORDS)


def test_the_drawer_is_narrowed_by_kind_and_by_words(section: DrawerSection) -> None:
    everything = places(section)
    section.shelves["seal"].click()
    assert places(section) == ["S4", "S1", "S2", "S3"]
    section.shelves["all"].click()
    section.search.setFocus()
    QTest.keyClicks(section.search, "RING 2.516")
    assert places(section) == ["B3"]
    section.search.setText("no such thing")
    assert (places(section), section.count.text()) == ([], "Nothing in the drawer is called so.")
    assert not section.chosen.isVisible()
    section.search.clear()
    assert places(section) == everything
    assert section.chosen.isVisible()


def test_the_chosen_piece_tells_its_places_and_where_it_went(section: DrawerSection, workshop: Any, job: Any) -> None:
    ring = part(workshop, "B3")
    workshop.take_from_drawer(job.id, "preload", "ring_gear_side", 1, ring.id, JORY)
    workshop.take_from_drawer(job.id, "preload", "ring_gear_side", 2, ring.id, JORY)
    section.refresh()
    choose(section, "B3")
    assert section.chosen.name.text() == "ring from B3"
    assert "Measured: 2.517 · 2.516 · 2.515, mean 2.516 mm." in section.chosen.facts.text()
    assert "order 2" in section.chosen.facts.text()
    assert [row[1:5] for row in told(section)] == [
        ("stays for the next trial", "", "2407, Preload, trial 2", JORY),
        ("taken for a trial", "-1", "2407, Preload, trial 1", JORY),
        ("came in", "+1", "", ""),
    ]
    assert not section.chosen.warning.isVisible()


def test_a_ring_that_is_not_parallel_is_said_to_be(section: DrawerSection, workshop: Any) -> None:
    choose(section, "C1")
    assert section.chosen.warning.isVisible()
    assert section.chosen.warning.text().startswith("Look again: its places are 0.014 mm apart, more than 0.010 mm.")
    assert section.list.current().cells[5] == "0.014 mm, not parallel"
    bent = Part(1, "seal", "seal", "S1", None, 1, measured_mm=(1.0, 1.5))
    assert (spread_words(bent, "mm"), warning(bent, "mm")) == ("0.500 mm", "")
    assert part_facts(Part(1, "ring", "", "K1", 6.5, 2), "in")[1] == "Never measured; stamped 0.2559 in."


# -- what is done ------------------------------------------------------------------------------------------------------


def test_a_ring_is_added_by_keyboard_and_the_list_stays_sorted(
    qtbot: Any, section: DrawerSection, workshop: Any
) -> None:
    section.begin_add.setFocus()
    QTest.keyClick(section.begin_add, Qt.Key.Key_Space)
    with qtbot.waitSignal(section.kept):
        type_through(section, "X9", "2,41", "2,415 mm 0.0951 in", "", "", "")
    added = part(workshop, "X9")
    assert (added.kind, added.nominal_mm, added.count, added.reorder_level) == ("ring", 2.41, 1, 0)
    assert added.measured_mm == (pytest.approx(2.415), pytest.approx(2.41554))
    assert workshop.moves(added.id)[0].person == OWNER
    rings = [line.part.thickness_mm for line in section.list.rows_model.rows if line.part.kind == "ring"]
    assert rings == sorted(rings)
    assert section.list.current().part.place == "X9"
    assert section.adding.answer.text() == "Added: ring from X9."
    assert focused(section).objectName() == "place"
    type_through(section, "X10", "2.41", "", "", "", "")
    assert part(workshop, "X10").measured_mm == ()


def test_a_seal_needs_a_name_and_no_size(section: DrawerSection, workshop: Any) -> None:
    section.add()
    section.adding.form.fields["kind"].put("seal")
    type_through(section, "S9", "", "", "3", "2", "")
    assert set(refusals(section.adding.form)) == {"name"}
    type_through(section, "cover seal")
    added = part(workshop, "S9")
    assert (added.kind, added.name, added.nominal_mm, added.reorder_level) == ("seal", "cover seal", None, 2)
    assert section.adding.form.values()["kind"] == "seal", "the next is most often of the same kind"


def test_where_a_shim_fits_is_asked_of_shims_only(section: DrawerSection, workshop: Any) -> None:
    section.add()
    form = section.adding.form
    fits = form.fields["fits"]
    assert not fits.isVisible() and not fits.label.isVisible()
    shim, ring = (form.fields["kind"].findChild(QRadioButton, f"kind_{kind}") for kind in ("shim", "ring"))
    QTest.mouseClick(shim, Qt.MouseButton.LeftButton)
    assert fits.isVisible() and fits.label.isVisible()
    assert {radio.accessibleName() for radio in fits.findChildren(QRadioButton)} == {
        "Fits: not said", "Fits: sides", "Fits: pinion",
    }  # fmt: skip
    assert fits.value() == ""
    settle()
    assert_accessible(section)
    assert_nothing_cut_off(section)
    QTest.mouseClick(fits.findChild(QRadioButton, "fits_sides"), Qt.MouseButton.LeftButton)
    QTest.mouseClick(ring, Qt.MouseButton.LeftButton)
    assert not fits.isVisible()
    assert fits.value() == "", "what was said of a shim is said of no ring"
    QTest.mouseClick(shim, Qt.MouseButton.LeftButton)
    # By keyboard from one to the next: kind, where it fits, place.
    shim.setFocus()
    QTest.keyClick(shim, Qt.Key.Key_Return)
    assert focused(section).objectName() == "fits_"
    QTest.keyClick(focused(section), Qt.Key.Key_Right)
    QTest.keyClick(focused(section), Qt.Key.Key_Right)
    QTest.keyClick(focused(section), Qt.Key.Key_Return)
    type_through(section, "X9", "0.25", "", "", "", "")
    assert part(workshop, "X9").fits == "pinion"
    assert section.list.current().cells[:3] == ("shim", "pinion", "X9")
    assert form.values()["fits"] == "pinion", "the next is most often of the same kind"
    QTest.mouseClick(ring, Qt.MouseButton.LeftButton)
    ring.setFocus()
    QTest.keyClick(ring, Qt.Key.Key_Return)
    assert focused(section).objectName() == "place", "what is not asked is passed over"


def test_where_a_shim_fits_is_shown_changed_and_found(section: DrawerSection, workshop: Any) -> None:
    choose(section, "P3")
    assert section.list.current().cells[1] == "pinion"
    assert "It fits under the pinion." in section.chosen.facts.text()
    push(section, "change")
    form = section.chosen.open.form
    assert form.values()["fits"] == "pinion"
    QTest.mouseClick(form.fields["fits"].findChild(QRadioButton, "fits_sides"), Qt.MouseButton.LeftButton)
    QTest.mouseClick(section.chosen.open.push, Qt.MouseButton.LeftButton)
    assert part(workshop, "P3").fits == "sides"
    assert "It fits the bearing sides." in section.chosen.facts.text()
    section.search.setText("shim sides")
    assert places(section) == ["P3"]
    section.search.clear()
    choose(section, "B3")
    assert section.list.current().cells[1] == ""
    push(section, "change")
    assert "fits" not in section.chosen.open.form.fields


def test_what_cannot_be_is_refused_at_its_field_and_stays(section: DrawerSection, workshop: Any) -> None:
    before = workshop.parts()
    section.add()
    for field in section.adding.form.fields.values():
        if field.key in ("count", "level"):
            field.put("x")
    type_through(section, "", "252", "0.6 Nm", "", "", "")
    assert set(refusals(section.adding.form)) == {"place", "nominal", "measured", "count", "level"}
    assert section.adding.form.values()["nominal"] == "252"
    assert workshop.parts() == before


def test_looking_at_a_piece_and_back_keeps_what_was_typed(section: DrawerSection) -> None:
    section.add()
    QTest.keyClicks(focused(section), "X9")
    choose(section, "B3")
    assert section.adding.isVisible()
    section.add()
    assert section.chosen.isVisible() and not section.adding.isVisible()
    assert section.chosen.name.text() == "ring from B3"
    section.add()
    assert section.adding.form.values()["place"] == "X9"


def test_pieces_are_received(qtbot: Any, section: DrawerSection, workshop: Any) -> None:
    choose(section, "B3")
    QTest.keyClick(section.list, Qt.Key.Key_Return)
    assert focused(section) is section.chosen.pushes["receive"]
    QTest.keyClick(focused(section), Qt.Key.Key_Space)
    with qtbot.waitSignal(section.kept):
        type_through(section, "3", "delivery")
    assert part(workshop, "B3").count == 4
    assert told(section)[0][1:] == ("came in: delivery", "+3", "", OWNER)
    assert section.chosen.answer.text() == "Kept: ring from B3, 4 free."
    assert focused(section) is section.chosen.pushes["receive"]
    assert section.list.current().cells[6] == "4"


def test_a_piece_is_measured_at_several_places(section: DrawerSection, workshop: Any) -> None:
    choose(section, "A1")
    push(section, "measure")
    assert isinstance(focused(section), QRadioButton)
    QTest.keyClick(focused(section), Qt.Key.Key_Return)
    type_through(section, "2.297 22.98")
    assert "far off the 2.300 mm" in refusals(section.chosen.open.form)["places"]
    focused(section).selectAll()  # type: ignore[attr-defined]
    type_through(section, "2.297 2.299")
    measured = part(workshop, "A1")
    assert measured.measured_mm == (2.297, 2.299)
    assert measured.gauge_id == next(gauge.id for gauge in workshop.gauges() if gauge.use == "micrometer")
    assert "2.297 · 2.299, mean 2.298 mm" in section.chosen.facts.text()


def test_only_an_owner_counts_and_throws_away(section: DrawerSection, workshop: Any, who: Who) -> None:
    choose(section, "B1")
    for key, typed in (("count", ("5", "stocktake")), ("scrap", ("2", "rust"))):
        push(section, key)
        who.name = JORY
        type_through(section, *typed)
        assert section.chosen.open.answer.text().startswith("Only the owner may do this.")
        assert section.chosen.open.form.values()["reason"] == typed[1]
        who.name = OWNER
        QTest.mouseClick(section.chosen.open.push, Qt.MouseButton.LeftButton)
        assert section.chosen.open is None
    assert part(workshop, "B1").count == 3
    assert [row[1] for row in told(section)] == ["thrown away: rust", "counted: stocktake", "came in"]


def test_a_reason_is_asked_for(section: DrawerSection, workshop: Any) -> None:
    choose(section, "B1")
    for key, refused in (("count", {"pieces", "reason"}), ("scrap", {"pieces", "reason"}), ("receive", {"pieces"})):
        push(section, key)
        QTest.mouseClick(section.chosen.open.push, Qt.MouseButton.LeftButton)
        assert set(refusals(section.chosen.open.form)) == refused
    section.chosen.open.form.fields["pieces"].put("0")
    QTest.mouseClick(section.chosen.open.push, Qt.MouseButton.LeftButton)
    assert refusals(section.chosen.open.form) == {"pieces": "Not one piece. Type how many."}


def test_a_count_of_what_changed_meanwhile_is_counted_again(section: DrawerSection, workshop: Any, job: Any) -> None:
    choose(section, "B1")
    push(section, "count")
    workshop.use_part(job.id, part(workshop, "B1").id, "1", JORY)
    type_through(section, "3", "stocktake")
    assert section.chosen.open.answer.text().startswith(f"{JORY} changed this meanwhile.")
    assert "2 free" in section.chosen.facts.text(), "what stands there now is shown"
    QTest.mouseClick(section.chosen.open.push, Qt.MouseButton.LeftButton)
    assert part(workshop, "B1").count == 3


def test_place_level_and_name_are_changed(section: DrawerSection, workshop: Any) -> None:
    choose(section, "S2")
    push(section, "change")
    assert section.chosen.open.form.values() == {"place": "S2", "level": "4", "name": "output seal 45 × 65"}
    for typed in ("S22", "1", ""):
        focused(section).selectAll()  # type: ignore[attr-defined]
        type_through(section, *([typed] if typed else ["output seal, 45 × 65"]))
    changed = part(workshop, "S22")
    assert (changed.reorder_level, changed.name) == (1, "output seal, 45 × 65")
    assert section.chosen.name.text() == "output seal, 45 × 65 from S22"


def test_a_piece_is_kept_no_longer_once_none_is_left(section: DrawerSection, workshop: Any) -> None:
    choose(section, "T3")
    push(section, "retire")
    QTest.mouseClick(section.chosen.open.push, Qt.MouseButton.LeftButton)
    assert "T3" not in places(section)
    assert part(workshop, "T3").is_retired
    choose(section, "B1")
    push(section, "retire")
    QTest.mouseClick(section.chosen.open.push, Qt.MouseButton.LeftButton)
    assert section.chosen.open.answer.text().startswith("There are still 3 of ring from B1 in the drawer.")


def test_escape_and_the_same_button_put_a_form_away(section: DrawerSection) -> None:
    choose(section, "B1")
    push(section, "receive")
    QTest.keyClick(focused(section), Qt.Key.Key_Escape)
    assert section.chosen.open is None
    assert focused(section) is section.chosen.pushes["receive"]
    push(section, "count")
    push(section, "count")
    assert section.chosen.open is None
    push(section, "count")
    choose(section, "B2")
    assert section.chosen.open is None, "what was begun for one piece is not done to another"


def test_the_order_list_is_shown_and_copied(section: DrawerSection, workshop: Any) -> None:
    assert not section.copy.isVisible()
    assert section.shelves["to_order"].text() == "to order: 8"
    section.shelves["to_order"].click()
    assert "S2" in places(section) and "A1" not in places(section)
    assert section.list.rows_model.rows[places(section).index("S2")].cells[6:] == ("2", "4", "2")
    QTest.mouseClick(section.copy, Qt.MouseButton.LeftButton)
    copied = QGuiApplication.clipboard().text().splitlines()
    assert "2 × output seal 45 × 65 from S2; 2 there, 4 wanted" in copied
    assert section.answer.text() == f"The order list is on the clipboard: {len(copied)} lines."
    for low in workshop.order_list():
        workshop.receive(low.id, str(low.to_order))
    section.refresh()
    assert section.count.text() == "Nothing lies below its level."


def test_an_empty_drawer_begins_with_the_form(make: Callable[..., DrawerSection], empty_workshop: Any) -> None:
    section = make(empty_workshop)
    assert section.adding.isVisible()
    assert section.count.text().startswith("The drawer is empty.")
    section.adding.form.fields["place"].setFocus()
    type_through(section, "A1", "2.50", "", "", "", "")
    assert places(section) == ["A1"]


# -- how it reads ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("scale", [100, 150, 200])
def test_the_drawer_passes_the_audit(make: Callable[..., DrawerSection], workshop: Any, scale: int) -> None:
    section = make(workshop, scale)
    choose(section, "C1")
    for act in ACTS:
        push(section, act.key)
        QTest.mouseClick(section.chosen.open.push, Qt.MouseButton.LeftButton)
        settle()
        if section.chosen.open is None:
            push(section, act.key)
        assert_accessible(section)
        assert_visual_order(section, list(section.findChild(Panes).panes))
        assert_nothing_cut_off(section)


def test_four_hundred_pieces_are_shown_at_once(make: Callable[..., DrawerSection], empty_workshop: Any) -> None:
    with empty_workshop._working("add_part") as work:
        for at in range(400):
            size_mm = 2.30 + at / 1000
            added = work.add_part("ring", "", f"A{at}", size_mm, 2)
            work.measure_part(added.id, [size_mm, size_mm + 0.001, size_mm])
        work.commit()
    section = make(empty_workshop)
    assert len(places(section)) == 400
    started = time.process_time()
    section.refresh()
    section.search.setText("2.51")
    QCoreApplication.processEvents()
    assert time.process_time() - started < 1.5
    assert 0 < len(places(section)) < 60


def test_inches_stay_inches(make: Callable[..., DrawerSection], workshop: Any) -> None:
    workshop.save_shop(Shop("A", "B", "inch"))
    section = make(workshop)
    choose(section, "K7")
    assert section.list.current().cells[3] == "0.2480 in"
    push(section, "measure")
    section.chosen.open.form.fields["places"].setFocus()
    type_through(section, "0.2478 0.2481 in")
    assert section.list.current().cells[4:6] == ("0.2480 in", "0.0003 in")
    assert section.findChildren(QLineEdit)
