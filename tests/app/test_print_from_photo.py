"""A print read from a photo at the bench: corners by mouse and by keys, kept, refused, read again, left."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from PIL import Image
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from tooth_renderer import Print, Rendered, Scene, render

from app import theme
from app.bench.corner_picture import CornerPicture
from app.bench.print_desk import PrintDesk
from app.settings import Settings
from app.window import Window
from core.outlines import write_outline

TAM, STAGE, KEY = "Tam Ollerby", "contact_pattern", Qt.Key
SHIFT = Qt.KeyboardModifier.ShiftModifier
CLEAN = Scene(size=(800, 600), prints=(Print(along=0.38, depth=0.56, turn_deg=6.0),), bow=0.0, oil=0, glare=0)
BARE = Scene(size=(800, 600), prints=(), coat=0.0, oil=0, glare=0)
OTHER = replace(CLEAN, prints=(Print(along=0.48, depth=0.5),), seed=3)


@cache
def drawn(scene: Scene) -> Rendered:
    return render(scene)


@pytest.fixture
def opened(qtbot: Any, qapp: QApplication, workshop: Any, job: Any) -> Iterator[Callable[..., Window]]:
    """Return what opens the pane on a photo of the contact stage."""
    made: list[Window] = []

    def make(scene: Scene = CLEAN, scale: int = 100, width: int = 1280, stage: str = STAGE, **place: Any) -> Window:
        photo = workshop.add_photo(job.id, drawn(scene).jpeg, stage=stage, **place)
        theme.apply(qapp, "light", scale)
        shown = Window(workshop, Settings(person=TAM, path=None))
        made.append(shown)
        qtbot.addWidget(shown)
        shown.resize(width, 860)
        with qtbot.waitExposed(shown):
            shown.show()
        shown.activateWindow()
        shown.open_job(job.id)
        shown.bench.turn_to(stage)
        pane = shown.bench._page.aside.photos
        qtbot.waitUntil(lambda: pane.thumbnail(photo.id) is not None)
        pane.thumbnail(photo.id).click()
        shown.bench.desks.photos.view.read.click()
        QCoreApplication.processEvents()
        return shown

    yield make
    for shown in made:
        shown.close()
    theme.apply(qapp, "light")


def press(*keys: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    for key in keys:
        QTest.keyClick(QApplication.focusWidget(), key, modifier)


def click(picture: CornerPicture, corner: tuple[float, float]) -> None:
    no_key = Qt.KeyboardModifier.NoModifier
    QTest.mouseClick(picture, Qt.MouseButton.LeftButton, no_key, picture.on_screen(corner).toPoint())


def click_all(desk: PrintDesk, scene: Scene = CLEAN) -> None:
    for corner in drawn(scene).corners:
        click(desk.view.picture, corner)


def read(desk: PrintDesk, qtbot: Any) -> None:
    desk.view.read.click()
    assert desk.is_reading
    qtbot.waitUntil(lambda: not desk.is_reading, timeout=30_000)


def standing(workshop: Any, job: Any, entry: str, trial: int = 1) -> Any:
    return workshop.state(job.id).context.reading(STAGE, entry, trial=trial)


def test_corners_are_clicked_and_the_print_is_kept(
    opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    bench = opened(trial=2, entry="drive_outline").bench
    desk, view = bench.desks.prints, bench.desks.prints.view
    assert view.isVisible() and not bench.desks.photos.view.isVisible() and not bench._body.isVisible()
    for number, name in enumerate(("toe at the root", "heel at the root", "heel at the tip", "toe at the tip")):
        assert view.lead.text() == f"Corner {number + 1} of 4: click the {name} of the flank."
        assert not view.read.isEnabled()
        click(view.picture, drawn(CLEAN).corners[number])
    for marked, truth in zip(view.picture.corners, drawn(CLEAN).corners, strict=True):
        assert marked == pytest.approx(truth, abs=2.0)
    read(desk, qtbot)
    assert view.told.text().startswith("The print is plain to see: its centre is right within 3 % along and 4 %")
    assert view.keep.text() == "Keep it as trial 2" and view.keep.hasFocus() and view.side == "drive"
    found = view.found
    assert found is not None
    press(KEY.Key_Space)
    kept = standing(workshop, job, "drive_outline", 2)
    assert (kept.text, kept.person, kept.source) == (write_outline(found.outline), TAM, "photo")
    assert not view.isVisible() and not bench.desks.photos.view.isVisible() and bench._body.isVisible()
    assert bench.column.field("drive_outline", "", 2).text() == kept.text
    assert (
        bench.column.field("drive_along", "", 2)
        .text()
        .startswith(standing(workshop, job, "drive_along", 2).text.split()[0])
    )


def test_everything_goes_by_keys(opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any) -> None:
    desk = opened().bench.desks.prints
    picture, view = desk.view.picture, desk.view
    assert picture.hasFocus()
    for number, (x, y) in enumerate(drawn(CLEAN).corners):
        press(KEY.Key_Return)
        assert picture.corners[number] == (400.0, 300.0)
        for off, less, more in ((x - 400, KEY.Key_Left, KEY.Key_Right), (y - 300, KEY.Key_Up, KEY.Key_Down)):
            tens, ones = divmod(abs(round(off)), 10)
            press(*[more if off > 0 else less] * tens, modifier=SHIFT)
            press(*[more if off > 0 else less] * ones)
        assert picture.corners[number] == (round(x - 400) + 400, round(y - 300) + 300)
    press(KEY.Key_Return)
    qtbot.waitUntil(lambda: view.found is not None, timeout=30_000)
    press(KEY.Key_Space)
    assert view.refusal.text() == "Say which side of the tooth this is: choose drive or coast."
    assert standing(workshop, job, "drive_outline") is standing(workshop, job, "coast_outline") is None
    assert QApplication.focusWidget() is view.sides["drive"]
    view.sides["coast"].setFocus()
    press(KEY.Key_Space)
    view.keep.setFocus()
    press(KEY.Key_Space)
    assert standing(workshop, job, "coast_outline").source == "photo"
    assert standing(workshop, job, "drive_outline") is None


def test_a_marked_corner_is_nudged_and_the_last_one_taken_back(opened: Callable[..., Window]) -> None:
    view = opened().bench.desks.prints.view
    picture = view.picture
    press(KEY.Key_Right)
    assert picture.corners == [(401.0, 300.0)]
    press(KEY.Key_Up, modifier=SHIFT)
    assert picture.corners == [(401.0, 290.0)]
    press(KEY.Key_Return)
    press(KEY.Key_1, KEY.Key_Down)
    assert picture.corners == [(401.0, 291.0), (400.0, 300.0)]
    press(KEY.Key_Backspace, KEY.Key_Backspace, KEY.Key_Backspace)
    assert picture.corners == [] and view.lead.text().startswith("Corner 1 of 4")
    press(*[KEY.Key_Left] * 50, modifier=SHIFT)
    assert picture.corners == [(0.0, 300.0)]


def test_a_refusal_is_a_sentence_and_the_corners_stay(
    opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    desk = opened(BARE).bench.desks.prints
    click_all(desk, BARE)
    before = list(desk.view.picture.corners)
    read(desk, qtbot)
    assert desk.view.refusal.text().startswith("No print can be told from the rest of this flank.")
    assert desk.view.picture.corners == before and desk.view.found is None
    assert desk.view.read.isVisible() and not desk.view.keep.isVisible() and desk.view.picture.hasFocus()
    press(KEY.Key_Left)
    assert not desk.view.refusal.isVisible()
    assert standing(workshop, job, "drive_outline") is None


def test_it_is_read_again_with_the_corners_that_are_there(opened: Callable[..., Window], qtbot: Any) -> None:
    desk = opened().bench.desks.prints
    click_all(desk)
    read(desk, qtbot)
    before = list(desk.view.picture.corners)
    press(KEY.Key_Backspace)
    desk.view.picture.setFocus()
    press(KEY.Key_Left)
    assert desk.view.picture.corners == before
    desk.view.again.click()
    assert desk.view.found is None and desk.view.picture.corners == before and desk.view.picture.hasFocus()
    press(KEY.Key_Left)
    assert desk.view.picture.corners != before and desk.view.read.isEnabled()


def test_a_print_that_came_meanwhile_is_not_replaced(
    opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    desk = opened(entry="drive_outline", trial=1).bench.desks.prints
    click_all(desk)
    read(desk, qtbot)
    workshop.record(job.id, STAGE, "drive_outline", "20 20; 60 20; 60 60", trial=1, person="Jory Pell")
    desk.view.keep.click()
    assert "Jory Pell" in desk.view.refusal.text() and desk.view.isVisible()
    assert standing(workshop, job, "drive_outline").person == "Jory Pell"


def test_escape_leaves_and_what_is_still_read_is_dropped(opened: Callable[..., Window], qtbot: Any) -> None:
    bench = opened().bench
    desk = bench.desks.prints
    click_all(desk)
    desk.view.read.click()
    press(KEY.Key_Escape)
    assert not desk.view.isVisible() and bench.desks.photos.view.isVisible() and bench.desks.photos.view.read.hasFocus()
    qtbot.waitUntil(lambda: not bench.window().tasks._waiting, timeout=30_000)
    assert desk.view.found is None and not desk.view.isVisible()
    bench.desks.photos.view.read.click()
    assert desk.view.picture.corners == []
    bench.turn_to("backlash")
    assert not desk.view.isVisible() and not bench.desks.photos.view.isVisible() and bench._body.isVisible()


def test_only_a_photo_that_counts_of_a_stage_with_a_print_offers_it(
    opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    bench = opened().bench
    press(KEY.Key_Escape)
    view = bench.desks.photos.view
    view.reason.setText("another unit")
    view.strike.click()
    assert view.isVisible() and not view.read.isVisible()
    photo = workshop.add_photo(job.id, drawn(BARE).jpeg, stage="backlash")
    bench.turn_to("backlash")
    pane = bench._page.aside.photos
    qtbot.waitUntil(lambda: pane.thumbnail(photo.id) is not None)
    pane.thumbnail(photo.id).click()
    assert view.isVisible() and not view.read.isVisible()


# -- several teeth, the unit as found ----------------------------------------------------------------------------------


def test_further_teeth_are_read_and_their_mean_is_kept(
    opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    for scene in (OTHER, BARE):
        workshop.add_photo(job.id, drawn(scene).jpeg, stage=STAGE)
    desk = opened(trial=1, entry="drive_outline").bench.desks.prints
    view = desk.view
    assert view.other.isVisible() and not view.keep.isVisible() and not view.further.isVisible()
    click_all(desk)
    read(desk, qtbot)
    one = view.found
    press(KEY.Key_Tab)
    assert QApplication.focusWidget() is view.further
    press(KEY.Key_Space)
    # The photos come round: the first of the others is next.
    assert view.picture.corners == [] and view.picture.hasFocus() and view.so_far is one
    assert view.told.text().startswith("One tooth is read: centre ")
    click_all(desk, OTHER)
    read(desk, qtbot)
    both = view.found
    assert both is not None and both.mean.scatter is not None
    along, deep = (f"{100 * getattr(both.mean.scatter, name):.1f}" for name in ("along_ratio", "depth_ratio"))
    assert f"from tooth to tooth ± {along} % along, ± {deep} % up" in view.told.text()
    assert view.keep.text() == "Keep the mean of 2 teeth as trial 1"
    # A bad one among them is a sentence; what was read before is kept.
    view.further.click()
    click_all(desk, BARE)
    read(desk, qtbot)
    assert view.refusal.text().startswith("No print can be told")
    assert view.so_far is both and view.keep.isVisible() and len(view.picture.corners) == 4
    view.keep.click()
    kept = standing(workshop, job, "drive_outline")
    assert kept.text == write_outline(both.mean.outline)
    assert kept.reason == both.reason and kept.reason.startswith(f"Mean of 2 teeth, tooth to tooth ± {along} % along")


def test_the_same_tooth_is_not_counted_twice(opened: Callable[..., Window], qtbot: Any) -> None:
    desk = opened().bench.desks.prints
    view = desk.view
    assert not view.other.isVisible()
    click_all(desk)
    read(desk, qtbot)
    view.further.click()
    click_all(desk)
    read(desk, qtbot)
    assert view.refusal.text().startswith("This tooth was read already.")
    assert view.so_far is not None and view.found is None and len(view.picture.corners) == 4


def test_teeth_that_are_read_and_not_kept_are_not_lost_by_one_key(opened: Callable[..., Window], qtbot: Any) -> None:
    bench = opened().bench
    desk, view = bench.desks.prints, bench.desks.prints.view
    click_all(desk)
    read(desk, qtbot)
    view.further.click()
    press(KEY.Key_Escape)
    assert view.isVisible() and view.refusal.text().startswith("What was read before is not kept yet.")
    press(KEY.Key_Return)
    assert not view.refusal.isVisible()
    press(KEY.Key_Escape, KEY.Key_Escape)
    assert not view.isVisible() and bench.desks.photos.view.isVisible()
    bench.desks.photos.view.read.click()
    assert view.so_far is None and not view.keep.isVisible()


def test_the_next_photo_is_turned_to_before_anything_is_read(
    opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    workshop.add_photo(job.id, drawn(BARE).jpeg, stage=STAGE)
    desk = opened().bench.desks.prints
    first = desk._photo
    click(desk.view.picture, drawn(CLEAN).corners[0])
    desk.view.other.click()
    assert desk._photo != first and desk.view.picture.corners == []
    desk.view.other.click()
    assert desk._photo == first
    click_all(desk)
    read(desk, qtbot)
    assert desk.view.found is not None and not desk.view.other.isVisible()


def test_the_pattern_as_found_is_read_at_teardown(
    opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any
) -> None:
    bench = opened(stage="teardown", entry="contact_coast_along").bench
    desk, view = bench.desks.prints, bench.desks.prints.view
    assert view.isVisible() and view.side == "coast"
    click_all(desk)
    read(desk, qtbot)
    assert view.keep.text() == "Keep it as found"
    found = view.found
    assert found is not None
    view.keep.click()
    kept = workshop.state(job.id).context.reading("teardown", "contact_coast_outline")
    assert (kept.text, kept.source) == (write_outline(found.outline), "photo")
    assert bench.column.field("contact_coast_outline", "", 0).text() == kept.text
    assert standing(workshop, job, "coast_outline") is None


def test_corners_that_cross_are_a_sentence_and_stay(opened: Callable[..., Window], qtbot: Any) -> None:
    desk = opened().bench.desks.prints
    a, b, c, d = drawn(CLEAN).corners
    for corner in (a, c, b, d):
        click(desk.view.picture, corner)
    before = list(desk.view.picture.corners)
    read(desk, qtbot)
    assert desk.view.refusal.text().startswith("The corners cross or make a dent.")
    assert desk.view.picture.corners == before and desk.view.found is None


def test_a_photo_of_a_hundred_million_pixels_and_one_cut_short_are_sentences_and_the_rest_is_read(
    opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any, tmp_path: Path
) -> None:
    bench = opened().bench
    press(KEY.Key_Escape, KEY.Key_Escape)
    whole = drawn(OTHER).jpeg
    for name, data in (("short.jpg", whole[: len(whole) // 2]), ("whole.jpg", whole)):
        (tmp_path / name).write_bytes(data)
    Image.new("1", (10_000, 10_000)).save(tmp_path / "huge.png")
    bench.desks.photos.add([tmp_path / name for name in ("huge.png", "short.jpg", "whole.jpg")])
    qtbot.waitUntil(lambda: not bench.desks.photos.unsaved(), timeout=30_000)
    told = " ".join(bench.desks.photos._refusals)
    assert "huge.png" in told and "more pixels" in told
    assert "short.jpg" in told and "damaged or cut short" in told
    assert "whole.jpg" not in told
    kept = [photo.id for photo in workshop.photos(job.id)]
    assert len(kept) == 2
    bench._page.aside.photos.thumbnail(kept[-1]).click()
    bench.desks.photos.view.read.click()
    click_all(bench.desks.prints, OTHER)
    read(bench.desks.prints, qtbot)
    assert bench.desks.prints.view.found is not None


@pytest.mark.parametrize(("scale", "width"), [(100, 1280), (150, 1280), (100, 900)])
def test_the_pane_is_named_in_order_and_whole(
    opened: Callable[..., Window], workshop: Any, job: Any, qtbot: Any, scale: int, width: int
) -> None:
    workshop.add_photo(job.id, drawn(OTHER).jpeg, stage=STAGE)
    desk = opened(scale=scale, width=width).bench.desks.prints
    for scene in (None, CLEAN, OTHER):
        if scene is not None:
            click_all(desk, scene)
            read(desk, qtbot)
        QCoreApplication.processEvents()
        assert_accessible(desk.view)
        assert_visual_order(desk.view)
        assert_nothing_cut_off(desk.view)
        if scene is not None:
            desk.view.further.click()
