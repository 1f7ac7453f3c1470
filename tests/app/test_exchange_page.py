"""The page of exchange: what is handed over, what would come in, and every conflict before anything is written."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from exchanging import FACTS, LIMITS, NOW, files_of, logbook_of, new_job, read, tell_shop
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog

from app import theme
from app.keeping.exchange import ExchangePage
from app.settings import Settings
from app.tasks import Tasks
from app.window import Window
from core import language
from core.records import open_logbook
from core.workshop import Workshop

WREN = "Wren Hask"


@pytest.fixture(autouse=True)
def _no_typesetting(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Workshop, "_sheet", lambda *_: b"%PDF-1.4")


@pytest.fixture(scope="module")
def told_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("told-once") / "shop.db"
    with open_logbook(path, clock=lambda: NOW) as logbook, logbook.work(by=WREN) as work:
        tell_shop(work)
        work.commit()
    return path


@pytest.fixture
def shop(told_once: Path, tmp_path: Path) -> Iterator[Workshop]:
    with open_logbook(shutil.copyfile(told_once, tmp_path / "shop.db"), clock=lambda: NOW) as logbook:
        yield Workshop(logbook, lambda: NOW)


@pytest.fixture
def other(told_once: Path, tmp_path: Path) -> Iterator[Workshop]:
    """Yield the same shop's second logbook, in which other things happened since."""
    with open_logbook(shutil.copyfile(told_once, tmp_path / "other.db"), clock=lambda: NOW) as logbook:
        workshop = Workshop(logbook, lambda: NOW)
        with logbook.work(by=WREN) as work:
            read(work, workshop.job("2408").id, "0.07", 0.07, reason="again")
            read(work, workshop.job("2409").id, "0.05", 0.05)
            work.commit()
        yield workshop


@pytest.fixture
def make_page(qtbot: Any) -> Callable[..., ExchangePage]:
    def make(workshop: Workshop, person: str = WREN, number: str = "2408", **more: Any) -> ExchangePage:
        job = workshop.job(number) if number else None
        page = ExchangePage(workshop, person=lambda: person, job=lambda: job, **more)
        page.resize(1400, 900)
        qtbot.addWidget(page)
        with qtbot.waitExposed(page):
            page.show()
        page.activateWindow()
        return page

    return make


@pytest.fixture
def page(make_page: Callable[..., ExchangePage], shop: Workshop) -> ExchangePage:
    return make_page(shop)


def cells(view: Any) -> list[tuple[str, ...]]:
    return [row.cells for row in view.rows_model.rows]


# -- handing over ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("scope", "about", "jobs"),
    [
        ("job", "Job 2408, unit k 1183.", ["2408"]),
        ("unit", "Every visit of unit k 1183.", ["2407", "2408"]),
        ("everything", "The whole logbook.", ["2407", "2408", "2409"]),
    ],
)
def test_what_is_chosen_is_handed_over(
    page: ExchangePage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, scope: str, about: str, jobs: list[str]
) -> None:
    about = about.replace("k 1183", "K-1183")
    path = tmp_path / "out.zip"
    part = page.hand_over
    monkeypatch.setattr(part, "ask_file", lambda _: str(path))
    part.offer(scope)
    assert part.about.text() == about
    part.push.click()
    assert part.answer.text() == f"It is in {path}."
    assert [job["number"] for job in logbook_of(path)["jobs"]] == jobs


def test_a_table_is_handed_over(page: ExchangePage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    path = tmp_path / "out.csv"
    monkeypatch.setattr(page.hand_over, "ask_file", lambda name: asked.append(name) or str(path))
    page.hand_over.offer("unit")
    page.hand_over.form.fields["how"].put("readings")
    page.hand_over.push.click()
    assert path.read_text(encoding="utf-8").startswith("job,serial,stage")
    assert Path(asked[0]).name == "K-1183 readings.csv"


def test_a_job_opened_since_is_offered_and_a_choice_stays(
    make_page: Callable[..., ExchangePage], shop: Workshop
) -> None:
    page = make_page(shop)
    what = page.hand_over.form.fields["what"]
    assert what.value() == "job"
    what.put("unit")
    page.hand_over.refresh()
    assert what.value() == "unit"


def test_by_keyboard_alone(page: ExchangePage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page.hand_over, "ask_file", lambda _: str(tmp_path / "keys.zip"))
    page.hand_over.form.fields["what"].setFocus()
    QTest.keyClick(page.window().focusWidget(), Qt.Key.Key_Right)
    QTest.keyClick(page.window().focusWidget(), Qt.Key.Key_Return)
    QTest.keyClick(page.window().focusWidget(), Qt.Key.Key_Return)
    assert len(logbook_of(tmp_path / "keys.zip")["jobs"]) == 2
    assert (tmp_path / "keys.zip").exists()


def test_without_a_job_only_everything_can_be(make_page: Callable[..., ExchangePage], shop: Workshop) -> None:
    page = make_page(shop, number="")
    part = page.hand_over
    part.form.fields["what"]._buttons["job"].click()  # type: ignore[attr-defined]
    assert part.about.text() == "No job is open: choose one on the desk."
    assert not part.push.isEnabled()
    part.form.fields["what"]._buttons["everything"].click()  # type: ignore[attr-defined]
    assert part.push.isEnabled()


def test_nothing_chosen_is_nothing_done(page: ExchangePage, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page.hand_over, "ask_file", lambda _: "")
    monkeypatch.setattr(page.take_in, "ask_file", lambda: "")
    page.hand_over.push.click()
    page.take_in.choose.click()
    assert page.hand_over.answer.isHidden()
    assert page.take_in.answer.isHidden()
    assert page.take_in.file.isHidden()


def test_what_is_there_already_stays_and_is_said_here(
    page: ExchangePage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.zip"
    path.write_text("mine", encoding="utf-8")
    monkeypatch.setattr(page.hand_over, "ask_file", lambda _: str(path))
    page.hand_over.push.click()
    assert "already" in page.hand_over.answer.text()
    assert page.hand_over.push.isEnabled()
    assert path.read_text(encoding="utf-8") == "mine"


def test_files_are_chosen_with_the_systems_own_chooser(page: ExchangePage, monkeypatch: pytest.MonkeyPatch) -> None:
    told: dict[str, Any] = {}

    def save(*arguments: Any, **more: Any) -> tuple[str, str]:
        told.update(save=arguments[2], **more)
        return "/x.zip", ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", save)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: ("/y.zip", ""))
    assert page.hand_over.ask_file("name.zip") == "/x.zip"
    assert told == {"save": "name.zip", "options": QFileDialog.Option.DontConfirmOverwrite}
    assert page.take_in.ask_file() == "/y.zip"


# -- taking in ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def clean(shop: Workshop, made_once: Path, tmp_path: Path) -> Path:
    """Return an archive of another shop, which contradicts nothing."""
    theirs = shutil.copyfile(made_once, tmp_path / "theirs.db")
    with open_logbook(theirs, clock=lambda: NOW) as logbook, logbook.work(by="") as work:
        job = new_job(work, work.add_card_revision("Kelda 9", LIMITS, FACTS, "").id, "77", "X-7")
        read(work, job.id, "0.08", 0.08)
        work.commit()
        return Workshop(logbook, lambda: NOW).export_archive(tmp_path / "theirs.zip", job="77")


def test_what_would_come_in_is_shown_first_and_taken_in_on_a_push(
    qtbot: Any, page: ExchangePage, shop: Workshop, clean: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = page.take_in
    monkeypatch.setattr(part, "ask_file", lambda: str(clean))
    part.choose.click()
    assert cells(part.jobs) == [("77", "X-7", "new", "1", "")]
    assert part.summary.text().startswith("Would come in. Jobs: 1 new,")
    assert part.conflicts.isHidden()
    assert part.skip.isHidden()
    assert "Tam Ollerby" not in [job.job.number for job in shop.find_jobs()]
    assert shop.find_jobs("77") == []
    with qtbot.waitSignal(page.taken):
        part.push.click()
    assert part.summary.text().startswith("Taken in. Jobs: 1 new,")
    assert part.push.isHidden()
    assert shop.job("77").serial == "X-7"
    part.open(clean)
    assert part.summary.text() == "This logbook holds all of it already; nothing changes."
    assert not part.push.isEnabled()


def test_conflicts_are_listed_and_held_up_until_somebody_decides(
    qtbot: Any, page: ExchangePage, shop: Workshop, other: Workshop, tmp_path: Path
) -> None:
    with shop._logbook.work(by=WREN) as work:
        read(work, shop.job("2408").id, "0.06", 0.06, reason="again")
        work.commit()
    part = page.take_in
    part.open(other.export_archive(tmp_path / "other.zip"))
    assert part.summary.text() == "Nothing comes in. Conflicts with this logbook: 1."
    ((where, what, here, there),) = cells(part.conflicts)
    assert (where, what) == ("Job 2408", "reading 2")
    assert "0.06" in here
    assert "0.07" in there
    assert part.conflict.text().startswith("Job 2408, reading 2: here ")
    assert [row[2] for row in cells(part.jobs)] == ["known already", "conflict, stays as it is", "goes on"]
    assert not part.push.isEnabled()
    part.skip.click()
    assert part.push.isEnabled()
    with qtbot.waitSignal(page.taken):
        part.push.click()
    assert len(shop.state(shop.job("2409").id).context.readings) == 1
    assert shop.state(shop.job("2408").id).context.readings[-1].text == "0.06"


def test_a_taken_number_is_settled_by_a_tick(page: ExchangePage, shop: Workshop, tmp_path: Path) -> None:
    with open_logbook(tmp_path / "theirs.db", clock=lambda: NOW) as logbook, logbook.work(by="") as work:
        new_job(work, work.add_card_revision("Kelda 9", LIMITS, FACTS, "").id, "2407", "X-7")
        work.commit()
        archive = Workshop(logbook, lambda: NOW).export_archive(tmp_path / "theirs.zip", job="2407")
    part = page.take_in
    part.open(archive)
    assert "2410" in part.conflict.text()
    part.renumber.click()
    assert part.conflicts.isHidden()
    assert part.renumber.isVisible()
    assert cells(part.jobs)[0][:3] == ("2410", "X-7", "new")
    part.renumber.click()
    assert part.conflicts.isVisible()
    part.renumber.click()
    part.push.click()
    assert shop.job("2410").serial == "X-7"


def test_who_is_no_owner_is_told_so_before(make_page: Callable[..., ExchangePage], shop: Workshop, clean: Path) -> None:
    page = make_page(shop, "Jory Pell")
    part = page.take_in
    part.open(clean)
    assert "Only the owner" in part.answer.text()
    assert part.push.isHidden()
    assert part.file.text() == str(clean)


def test_a_bad_archive_is_a_sentence_and_another_can_be_chosen(page: ExchangePage, clean: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.zip"
    bad.write_bytes(b"milk, bread")
    page.take_in.open(bad)
    assert "not an archive" in page.take_in.answer.text()
    assert page.take_in.jobs.isHidden()
    page.take_in.open(clean)
    assert page.take_in.answer.isHidden()
    assert page.take_in.push.isEnabled()


def test_notes_say_what_stays_out(page: ExchangePage, other: Workshop, tmp_path: Path) -> None:
    page.take_in.open(other.export_archive(tmp_path / "other.zip"))
    assert "The drawer stays as it is" in page.take_in.notes.text()


def test_only_the_answer_to_the_last_question_counts(
    qtbot: Any, shop: Workshop, clean: Path, other: Workshop, tmp_path: Path
) -> None:
    waiting: list[tuple[Callable[[], Any], Callable[[Any], None]]] = []

    def later(work: Callable[[], Any], done: Callable[[Any], None], label: str = "") -> Any:
        waiting.append((work, done))

    page = ExchangePage(shop, later, lambda: WREN)
    qtbot.addWidget(page)
    part = page.take_in
    part.open(other.export_archive(tmp_path / "other.zip"))
    part.open(clean)
    assert part.answer.text() == "Looking through the archive …"
    assert not part.push.isEnabled()
    for work, done in reversed(waiting):
        done(work())
    assert [row[0] for row in cells(part.jobs)] == ["77"]


def test_the_window_is_not_kept_waiting(qtbot: Any, shop: Workshop, clean: Path, tmp_path: Path) -> None:
    where: list[threading.Thread] = []

    class Watched(Workshop):
        def preview_import(self, *arguments: Any, **more: Any) -> Any:
            where.append(threading.current_thread())
            return super().preview_import(*arguments, **more)

    tasks = Tasks(lambda error: pytest.fail(str(error)))
    page = ExchangePage(Watched(shop._logbook, lambda: NOW), tasks.run, lambda: WREN)
    qtbot.addWidget(page)
    page.take_in.open(clean)
    qtbot.waitUntil(lambda: bool(cells(page.take_in.jobs)), timeout=20_000)
    tasks.close()
    assert where[0] is not threading.main_thread()


# -- how it looks ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("scale", [100, 175])
def test_every_control_has_a_name_and_a_place(
    make_page: Callable[..., ExchangePage], shop: Workshop, other: Workshop, tmp_path: Path, scale: int
) -> None:
    theme.apply(QApplication.instance(), "light", scale)
    try:
        page = make_page(shop)
        with shop._logbook.work(by=WREN) as work:
            read(work, shop.job("2408").id, "0.06", 0.06, reason="again")
            work.commit()
        page.take_in.open(other.export_archive(tmp_path / "other.zip"))
        QApplication.processEvents()
        assert_accessible(page)
        assert_visual_order(page, page.panes)
        assert_nothing_cut_off(page)
    finally:
        theme.apply(QApplication.instance(), "light", 100)


def test_what_is_told_of_an_archive_is_translated(
    make_page: Callable[..., ExchangePage], shop: Workshop, other: Workshop, tmp_path: Path
) -> None:
    with shop._logbook.work(by=WREN) as work:
        read(work, shop.job("2408").id, "0.06", 0.06, reason="again")
        work.commit()
    archive = other.export_archive(tmp_path / "other.zip")
    language.use_translation(lambda text: f"⟦{text}⟧")
    try:
        page = make_page(shop)
        page.take_in.open(archive)
        part = page.take_in
        told = [part.summary.text(), part.notes.text(), part.conflict.text(), *(row[2] for row in cells(part.jobs))]
        told += [cell for row in cells(part.conflicts) for cell in row]
    finally:
        language.use_translation(None)
    assert [words for words in told if words and not words.startswith("⟦")] == []


def test_the_window_has_the_page(qtbot: Any, shop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    window = Window(shop, Settings(person=WREN, path=None))
    qtbot.addWidget(window)
    window.show()
    window.open_job(shop.job("2408").id)
    window.show_exchange()
    path = tmp_path / "window.zip"
    monkeypatch.setattr(window.exchange.hand_over, "ask_file", lambda _: str(path))
    window.exchange.hand_over.offer("job")
    window.exchange.hand_over.push.click()
    qtbot.waitUntil(lambda: window.exchange.hand_over.answer.text().startswith("It is in"), timeout=20_000)
    assert "sheets/2408.pdf" in files_of(path)
    window.close()
