"""Photos at the bench: dropped, pasted, chosen; named when refused; seen large, struck, and reached by keyboard."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order, name_of, tab_chain, visible_texts
from PIL import Image
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget

from app import theme
from app.bench.page import BenchPage
from app.bench.photos import PhotoPane
from app.settings import Settings
from app.tasks import Tasks
from core import language
from core.drafts import JobDraft

PERSON = "Tam Ollerby"
Save = Callable[..., Path]


@pytest.fixture
def bench(qtbot: Any, qapp: QApplication, workshop: Any, job: Any, clock: Any) -> Iterator[BenchPage]:
    theme.apply(qapp, "light", 100)
    page = BenchPage(workshop, Settings(person=PERSON), lambda: clock.now)
    qtbot.addWidget(page)
    page.resize(1280, 800)
    with qtbot.waitExposed(page):
        page.show()
    page.activateWindow()
    page.show_job(job.id)
    qtbot.waitUntil(lambda: page.desks.photos._pane is not None and QApplication.focusWidget() is not None)
    yield page
    page.close()


@pytest.fixture
def save(tmp_path: Path) -> Save:
    """Return a function that saves a picture, another one each time."""
    saved: list[Path] = []

    def make(name: str = "", size: tuple[int, int] = (64, 48)) -> Path:
        place = tmp_path / (name or f"gear {len(saved) + 1}.png")
        Image.new("RGB", size, (20 * len(saved), 90, 120)).save(place)
        saved.append(place)
        return place

    return make


def pane_of(bench: BenchPage) -> PhotoPane:
    return bench._page.aside.photos


def files(*places: Path) -> QMimeData:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(place)) for place in places])
    return mime


def drop(target: QWidget, mime: QMimeData) -> bool:
    """Drag something over a widget and let it go there; return whether anything took it."""
    action, button, no_key = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    entering = QDragEnterEvent(target.rect().center(), action, mime, button, no_key)
    entering.ignore()
    QApplication.sendEvent(target, entering)
    if not entering.isAccepted():
        return False
    QApplication.sendEvent(target, QDropEvent(QPointF(target.rect().center()), action, mime, button, no_key))
    return True


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, modifier)


def paste() -> None:
    press(Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)


def settled(bench: BenchPage, qtbot: Any) -> None:
    """Wait until everything that came in was kept or refused."""
    qtbot.waitUntil(lambda: not bench.desks.photos.unsaved(), timeout=10_000)
    qtbot.waitUntil(lambda: pane_of(bench).progress.isHidden(), timeout=10_000)


def other_job(workshop: Any, job: Any, number: str = "2408") -> Any:
    draft = JobDraft(
        number, "Z-1", "Somebody", "", "", "", str(job.ring_gear_teeth), str(job.pinion_teeth), card_id=job.card.id
    )
    return workshop.new_job(draft, PERSON)


# -- coming in ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("where", ["page", "field", "note", "button"])
def test_files_dropped_anywhere_become_photos_of_the_stage(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any, where: str
) -> None:
    target = {
        "page": bench,
        "field": bench.column.field("backlash_found", "at_000").editor,
        "note": bench.column.field("parts_note").editor,
        "button": bench.stages.buttons["fill"],
    }[where]
    assert drop(target, files(save(), save()))
    settled(bench, qtbot)
    kept = workshop.photos(job.id)
    assert [(photo.stage, photo.entry, photo.person) for photo in kept] == [("teardown", "", PERSON)] * 2
    assert [thumbnail.photo.id for thumbnail in pane_of(bench).thumbnails] == [photo.id for photo in kept]
    assert bench.column.field("backlash_found", "at_000").text() == ""
    assert bench.column.field("parts_note").text() == ""


def test_words_dropped_on_a_field_are_words(bench: BenchPage, workshop: Any, job: Any) -> None:
    mime = QMimeData()
    mime.setText("0.14")
    field = bench.column.field("backlash_found", "at_000")
    assert drop(field.editor, mime)
    assert field.text() == "0.14"
    assert not drop(bench, mime)
    assert workshop.photos(job.id) == []


def test_a_picture_in_the_clipboard_is_pasted_from_any_field(
    bench: BenchPage, workshop: Any, job: Any, qtbot: Any
) -> None:
    picture = QImage(80, 60, QImage.Format.Format_RGB32)
    picture.fill(Qt.GlobalColor.darkGreen)
    QGuiApplication.clipboard().setImage(picture)
    field = bench.column.field("parts_note")
    field.setFocus()
    paste()
    settled(bench, qtbot)
    (photo,) = workshop.photos(job.id)
    assert (photo.width, photo.height) == (80, 60)
    red, green, blue = Image.open(BytesIO(workshop.photo_image(photo.id))).getpixel((40, 30))
    assert green > 110 and red < 20 and blue < 20
    paste()
    settled(bench, qtbot)
    assert pane_of(bench).refusal.text().startswith("The pasted picture: The job has this photo already")


def test_copied_files_are_pasted(bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any) -> None:
    QGuiApplication.clipboard().setMimeData(files(save(), save()))
    bench.column.field("backlash_found", "at_000").setFocus()
    paste()
    settled(bench, qtbot)
    assert len(workshop.photos(job.id)) == 2
    pane_of(bench).add.setFocus()
    QGuiApplication.clipboard().setMimeData(files(save()))
    paste()
    settled(bench, qtbot)
    assert len(workshop.photos(job.id)) == 3


@pytest.mark.parametrize("has_picture", [False, True])
def test_copied_words_are_pasted_as_words(bench: BenchPage, workshop: Any, job: Any, has_picture: bool) -> None:
    mime = QMimeData()
    mime.setText("0.14")
    if has_picture:
        # A word processor gives a picture of the words along.
        mime.setImageData(QImage(8, 8, QImage.Format.Format_RGB32))
    QGuiApplication.clipboard().setMimeData(mime)
    field = bench.column.field("backlash_found", "at_000")
    field.setFocus()
    paste()
    assert field.text() == "0.14"
    assert workshop.photos(job.id) == []


def test_files_are_chosen(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    chosen = [save(), save()]
    monkeypatch.setattr(bench.desks.photos, "_ask_for_files", lambda: chosen)
    pane_of(bench).add.click()
    settled(bench, qtbot)
    assert len(workshop.photos(job.id)) == 2
    monkeypatch.setattr(bench.desks.photos, "_ask_for_files", list)
    pane_of(bench).add.click()
    assert len(workshop.photos(job.id)) == 2


def test_each_file_that_is_refused_is_named_and_the_others_are_kept(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any, tmp_path: Path
) -> None:
    first = save("first.png")
    (tmp_path / "words.jpg").write_text("no picture", encoding="utf-8")
    (tmp_path / "folder").mkdir()
    again = tmp_path / "again.png"
    again.write_bytes(first.read_bytes())
    drop(bench, files(first, tmp_path / "words.jpg", tmp_path / "folder", again, tmp_path / "gone.png", save()))
    settled(bench, qtbot)
    assert len(workshop.photos(job.id)) == 2
    told = pane_of(bench).refusal.text().split("\n")
    assert [sentence.split(" ")[0] for sentence in told] == ["words.jpg", "folder", "again.png:", "gone.png"]
    assert "The job has this photo already" in told[2]
    drop(bench, files(save()))
    settled(bench, qtbot)
    assert not pane_of(bench).refusal.isVisible(), "what was refused before is no news"


def test_the_caption_goes_with_the_photo_and_stays_when_it_is_refused(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any, tmp_path: Path
) -> None:
    pane = pane_of(bench)
    pane.caption.setFocus()
    QTest.keyClicks(pane.caption, "Ring gear as found")
    press(Qt.Key.Key_Return)
    assert QApplication.focusWidget() is pane.add
    drop(bench, files(tmp_path / "gone.png"))
    settled(bench, qtbot)
    assert pane.caption.text() == "Ring gear as found"
    drop(bench, files(save()))
    settled(bench, qtbot)
    assert workshop.photos(job.id)[0].caption == "Ring gear as found"
    assert pane.caption.text() == ""
    QTest.keyClicks(pane.caption, "x")
    pane.caption.setFocus()
    press(Qt.Key.Key_Escape)
    assert pane.caption.text() == ""


def test_a_photo_may_be_bound_to_the_armed_field(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any
) -> None:
    workshop.record(job.id, "teardown", "backlash_found", "0.15", position="at_045")
    pane = pane_of(bench)
    bench.column.field("backlash_found", "at_045").setFocus(Qt.FocusReason.OtherFocusReason)
    assert "Backlash as found, 45°" in visible_texts(pane)
    assert name_of(pane.of_field) == "It shows Backlash as found, 45°"
    pane.of_field.setFocus()
    press(Qt.Key.Key_Space)
    drop(bench, files(save()))
    settled(bench, qtbot)
    (photo,) = workshop.photos(job.id)
    standing = workshop.state(job.id).context.reading("teardown", "backlash_found", "at_045")
    assert (photo.entry, photo.position, photo.reading_id) == ("backlash_found", "at_045", standing.id)


def test_a_field_of_another_stage_is_not_taken_for_this_one(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any
) -> None:
    pane_of(bench).of_field.setChecked(True)
    bench.turn_to("fill")
    # At once, before the page had the time to show the photos of the stage.
    drop(bench, files(save()))
    settled(bench, qtbot)
    assert workshop.photos(job.id)[0].stage in ("teardown", "fill")
    bench.turn_to("backlash")
    qtbot.waitUntil(lambda: bench.desks.photos._pane is pane_of(bench))
    assert pane_of(bench).field is not None
    assert pane_of(bench).field.entry in bench._job.stage("backlash").stage.entries


def test_nothing_else_is_taken(bench: BenchPage, workshop: Any, job: Any) -> None:
    mime = QMimeData()
    mime.setUrls([QUrl("https://example.org/gear.jpg")])
    assert not drop(bench, mime)
    assert not drop(bench, QMimeData())
    assert workshop.photos(job.id) == []


def test_a_picture_dragged_from_elsewhere_is_taken(bench: BenchPage, workshop: Any, job: Any, qtbot: Any) -> None:
    mime = QMimeData()
    mime.setUrls([QUrl("https://example.org/gear.jpg")])
    picture = QImage(40, 30, QImage.Format.Format_RGB32)
    picture.fill(Qt.GlobalColor.gray)
    mime.setImageData(picture)
    assert drop(bench.column.field("backlash_found", "at_000").editor, mime)
    settled(bench, qtbot)
    assert workshop.photos(job.id)[0].width == 40


def test_a_signed_job_shows_its_photos_and_takes_none(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any
) -> None:
    drop(bench, files(save()))
    settled(bench, qtbot)
    with workshop._logbook.work() as work:
        work.sign(job.id, PERSON, workshop._clock())
        work.commit()
    bench.show_job(job.id)
    bench.turn_to("teardown")
    qtbot.waitUntil(lambda: len(pane_of(bench).thumbnails) == 1)
    pane = pane_of(bench)
    assert not pane.add.isVisible()
    assert not pane.caption.isVisible()
    assert not drop(bench, files(save()))
    pane.thumbnails[0].click()
    assert bench.desks.photos.view.isVisible()
    assert not bench.desks.photos.view.strike.isVisible()
    bench.desks.photos.close_view()
    bench.turn_to("fill")
    qtbot.waitUntil(lambda: bench.desks.photos._pane is pane_of(bench))
    assert not pane_of(bench).heading.isVisible(), "a heading with nothing under it"


# -- off the window's thread -------------------------------------------------------------------------------------------


@pytest.fixture
def tasks(qtbot: Any) -> Iterator[Tasks]:
    failures: list[BaseException] = []
    made = Tasks(failures.append)
    yield made
    made.close()
    assert failures == []


@pytest.fixture
def slow(bench: BenchPage, workshop: Any, tasks: Tasks, monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """Yield a gate every photo has to pass in the worker."""
    gate, add_photo = threading.Event(), workshop.add_photo

    def waits(*args: Any, **more: Any) -> Any:
        assert threading.current_thread() is not threading.main_thread()
        assert gate.wait(20)
        return add_photo(*args, **more)

    monkeypatch.setattr(workshop, "add_photo", waits)
    monkeypatch.setattr(bench.desks.photos, "_run", tasks.run)
    yield gate
    gate.set()


def test_the_page_goes_on_while_photos_are_made_small(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any, slow: threading.Event
) -> None:
    drop(bench, files(save("one.png"), save("two.png"), save("three.png")))
    qtbot.waitUntil(lambda: pane_of(bench).progress.text() == "Adding one.png … 2 more to come.")
    field = bench.column.field("backlash_found", "at_000")
    field.setFocus(Qt.FocusReason.OtherFocusReason)
    QTest.keyClicks(QApplication.focusWidget(), "0.14")
    press(Qt.Key.Key_Return)
    assert workshop.state(job.id).context.reading("teardown", "backlash_found", "at_000").text == "0.14"
    assert bench.unsaved() == ["photo one.png", "photo two.png", "photo three.png"]
    assert not bench.settle()
    slow.set()
    settled(bench, qtbot)
    assert bench.settle()
    assert len(workshop.photos(job.id)) == len(pane_of(bench).thumbnails) == 3


def test_a_photo_stays_with_the_job_it_was_dropped_on(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any, slow: threading.Event, tmp_path: Path
) -> None:
    other = other_job(workshop, job)
    drop(bench, files(save(), tmp_path / "gone.png", save()))
    bench.show_job(other.id)
    slow.set()
    settled(bench, qtbot)
    assert len(workshop.photos(job.id)) == 2
    assert workshop.photos(other.id) == []
    assert pane_of(bench).thumbnails == []
    qtbot.waitUntil(lambda: pane_of(bench).refusal.text().startswith("Job 2407: gone.png cannot be read"))


def test_a_fault_of_the_program_is_told_and_the_other_photos_are_kept(
    bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_photo, asked = workshop.add_photo, []

    def breaks_once(*args: Any, **more: Any) -> Any:
        asked.append(args)
        if len(asked) == 1:
            raise ZeroDivisionError("a bug")
        return add_photo(*args, **more)

    monkeypatch.setattr(workshop, "add_photo", breaks_once)
    with qtbot.captureExceptions() as caught:
        pane_of(bench).caption.setText("Seal")
        monkeypatch.setattr(bench.desks.photos, "_ask_for_files", lambda: [save(), save()])
        pane_of(bench).add.click()
        settled(bench, qtbot)
    assert [kind for kind, _, _ in caught] == [ZeroDivisionError]
    assert len(workshop.photos(job.id)) == 1


# -- seen large --------------------------------------------------------------------------------------------------------


@pytest.fixture
def three(bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any) -> PhotoPane:
    """Return the photos beside the stage once there are three."""
    workshop.add_photo(job.id, save(size=(400, 300)), stage="teardown", caption="Ring gear", person="Jory Pell")
    workshop.add_photo(job.id, save(), stage="teardown", entry="backlash_found", position="at_045", caption="Ring gear")
    drop(bench, files(save()))
    settled(bench, qtbot)
    return pane_of(bench)


def test_thumbnails_have_names_of_their_own_and_one_stop(three: PhotoPane, bench: BenchPage, workshop: Any) -> None:
    time = workshop.photos(bench._job.context.job.id)[2].at.astimezone().strftime("%H:%M")
    names = ["Photo 1: Ring gear", "Photo 2: Ring gear", f"Photo 3 of Teardown, {time}"]
    assert [name_of(thumbnail) for thumbnail in three.thumbnails] == names
    chain = tab_chain(bench)
    assert [widget for widget in chain if widget in three.thumbnails] == [three.thumbnails[0]]
    three.thumbnails[0].setFocus()
    press(Qt.Key.Key_Right)
    press(Qt.Key.Key_Right)
    press(Qt.Key.Key_Right)
    assert QApplication.focusWidget() is three.thumbnails[2]
    assert [widget for widget in tab_chain(bench) if widget in three.thumbnails] == [three.thumbnails[2]]
    press(Qt.Key.Key_Left)
    assert QApplication.focusWidget() is three.thumbnails[1]


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Space])
def test_a_photo_is_seen_large_and_escape_goes_back(
    three: PhotoPane, bench: BenchPage, qtbot: Any, key: Qt.Key
) -> None:
    view = bench.desks.photos.view
    three.thumbnails[1].setFocus()
    press(key)
    assert view.isVisible()
    assert not bench._body.isVisible()
    assert name_of(view.picture) == "Photo 2: Ring gear"
    assert view.facts.text().startswith("Backlash as found, 45° · ")
    assert_accessible(bench)
    press(Qt.Key.Key_Escape)
    assert not view.isVisible()
    assert bench._body.isVisible()
    assert QApplication.focusWidget() is three.thumbnails[1]


def test_the_large_picture_is_drawn(three: PhotoPane, bench: BenchPage, qtbot: Any) -> None:
    three.thumbnails[0].click()
    picture = bench.desks.photos.view.picture
    qtbot.waitUntil(lambda: picture.height() > 200)
    shown = picture.grab().toImage()
    middle = shown.pixelColor(shown.width() // 2, shown.height() // 2)
    assert abs(middle.green() - 90) < 6 and abs(middle.blue() - 120) < 6


def test_one_goes_from_photo_to_photo(three: PhotoPane, bench: BenchPage) -> None:
    view = bench.desks.photos.view
    three.thumbnails[0].click()
    assert not view.earlier.isEnabled()
    view.later.setFocus()
    press(Qt.Key.Key_Space)
    press(Qt.Key.Key_Space)
    assert name_of(view.picture).startswith("Photo 3 of Teardown")
    assert not view.later.isEnabled()
    assert QApplication.focusWidget() is view.back
    view.earlier.click()
    press(Qt.Key.Key_Escape)
    assert QApplication.focusWidget() is three.thumbnails[1]


def test_a_photo_is_struck_with_a_reason_and_stays(three: PhotoPane, bench: BenchPage, workshop: Any, job: Any) -> None:
    view = bench.desks.photos.view
    three.thumbnails[0].click()
    view.strike.click()
    assert "The reason is missing" in view.refusal.text()
    assert QApplication.focusWidget() is view.reason
    QTest.keyClicks(view.reason, "another unit")
    press(Qt.Key.Key_Return)
    assert QApplication.focusWidget() is view.strike
    press(Qt.Key.Key_Space)
    struck = workshop.photos(job.id)[0]
    assert (struck.strike_reason, struck.struck_by) == ("another unit", PERSON)
    assert view.struck.text().startswith(f"Struck by {PERSON}, ")
    assert view.struck.text().endswith(": another unit")
    assert not view.strike.isVisible()
    press(Qt.Key.Key_Escape)
    assert name_of(three.thumbnails[0]) == "Photo 1: Ring gear, struck"
    assert len(three.thumbnails) == 3


def test_escape_takes_a_reason_back_before_it_goes_back(three: PhotoPane, bench: BenchPage) -> None:
    view = bench.desks.photos.view
    three.thumbnails[0].click()
    view.reason.setFocus()
    QTest.keyClicks(view.reason, "x")
    press(Qt.Key.Key_Escape)
    assert (view.isVisible(), view.reason.text()) == (True, "")
    press(Qt.Key.Key_Escape)
    assert not view.isVisible()


def test_turning_to_another_stage_or_job_closes_the_large_photo(
    three: PhotoPane, bench: BenchPage, workshop: Any, job: Any
) -> None:
    three.thumbnails[0].click()
    bench.stages.buttons["fill"].click()
    assert not bench.desks.photos.view.isVisible()
    assert bench._body.isVisible()
    bench.turn_to("teardown")
    three.thumbnails[0].click()
    bench.show_job(other_job(workshop, job).id)
    assert not bench.desks.photos.view.isVisible()
    assert bench._body.isVisible()


def test_what_another_bench_added_or_struck_is_shown(
    three: PhotoPane, bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any
) -> None:
    workshop.add_photo(job.id, save(), stage="teardown")
    workshop.strike_photo(three.thumbnails[0].photo.id, reason="blurred", person="Jory Pell")
    bench._redraw(workshop.state(job.id))
    qtbot.waitUntil(lambda: len(three.thumbnails) == 4)
    assert name_of(three.thumbnails[0]) == "Photo 1: Ring gear, struck"


# -- names, order, room ------------------------------------------------------------------------------------------------


def test_the_page_with_photos_passes_the_audit(three: PhotoPane, bench: BenchPage) -> None:
    assert_accessible(bench)
    regions = [bench.header, bench.stages, bench._body.left, bench._body.right, bench.gauges]
    assert_visual_order(bench, regions)
    three.thumbnails[0].click()
    assert_accessible(bench)
    for button in bench.findChildren(QPushButton):
        assert not button.autoDefault(), button.text()


@pytest.mark.parametrize("scale", [100, 200])
def test_nothing_is_cut_off(
    three: PhotoPane, bench: BenchPage, qapp: QApplication, qtbot: Any, tmp_path: Path, scale: int
) -> None:
    theme.apply(qapp, "dark", scale)
    bench.theme_changed()
    drop(bench, files(tmp_path / ("gone " * 12 + ".png")))
    settled(bench, qtbot)

    def fits() -> None:
        assert_nothing_cut_off(bench)

    qtbot.waitUntil(lambda: _holds(fits), timeout=5000)
    assert three.width() >= three.thumbnails[0].width()
    three.thumbnails[0].click()
    qtbot.waitUntil(lambda: _holds(fits), timeout=5000)


def _holds(check: Callable[[], None]) -> bool:
    try:
        check()
    except AssertionError:
        return False
    return True


def test_every_word_can_be_translated(bench: BenchPage, workshop: Any, job: Any, save: Save, qtbot: Any) -> None:
    language.use_translation(lambda text: f"⟦{text}⟧")
    try:
        page = BenchPage(workshop, Settings(person=PERSON))
        qtbot.addWidget(page)
        page.show()
        page.show_job(job.id)
        qtbot.waitUntil(lambda: page.desks.photos._pane is not None)
        drop(page, files(save(), Path("/gone/gear.png")))
        settled(page, qtbot)
        pane = pane_of(page)
        texts = visible_texts(pane) + [name_of(widget) for widget in pane.focusables()]
        pane.thumbnails[0].click()
        texts += visible_texts(page.desks.photos.view)
        assert len(texts) > 10
        facts = page.desks.photos.view.facts.text()
        assert [text for text in texts if "⟦" not in text and text != facts] == []
        page.close()
    finally:
        language.use_translation(None)


# -- in the window -----------------------------------------------------------------------------------------------------


def test_closing_the_window_names_the_photos_that_wait(
    workshop: Any, job: Any, save: Save, qtbot: Any, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.window import Window

    theme.apply(qapp, "light", 100)
    gate, add_photo = threading.Event(), workshop.add_photo

    def waits(*args: Any, **more: Any) -> Any:
        assert gate.wait(20)
        return add_photo(*args, **more)

    monkeypatch.setattr(workshop, "add_photo", waits)
    window = Window(workshop, Settings(person=PERSON))
    qtbot.addWidget(window)
    window.show()
    window.open_job(job.id)
    qtbot.waitUntil(lambda: window.bench.desks.photos._pane is not None)
    drop(window.bench, files(save("one.png"), save("two.png")))
    window.close()
    assert window.isVisible()
    assert "Not saved yet: photo one.png, photo two.png." in window.message.sentence.text()
    gate.set()
    settled(window.bench, qtbot)
    window.close()
    assert not window.isVisible()
    assert len(workshop.photos(job.id)) == 2
