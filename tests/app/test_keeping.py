"""Backups while the window is open, the shop page that tells of them, and the way back from a damaged logbook."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order, visible_texts
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.keeping import keeper as keeping
from app.keeping.front import Front
from app.keeping.keeper import Keeper
from app.keeping.section import BackupsSection
from app.keeping.way_back import WayBackPage, WayBackWindow
from app.settings import Settings
from app.tasks import Tasks
from app.window import Window
from core.errors import BackupError, DamagedLogbookError, WayBack
from core.records import open_logbook
from core.workshop import Workshop

Said = list[tuple[str, bool]]


@pytest.fixture
def said() -> Said:
    return []


@pytest.fixture
def keeper(workshop: Any, said: Said, qapp: Any) -> Keeper:
    return Keeper(workshop, Settings(), say=lambda sentence, is_fault=False: said.append((sentence, is_fault)))


def folder_of(workshop: Any) -> Path:
    return Path(workshop.location).parent / "backups"


def made(workshop: Any) -> list[str]:
    folder = folder_of(workshop)
    return sorted(path.name for path in folder.iterdir()) if folder.exists() else []


def enter(workshop: Any) -> None:
    """Enter something, whatever it is."""
    with workshop._logbook.work() as work:
        work.add_card_revision("Tollen 2", [], [])
        work.commit()


def damage(path: str) -> None:
    with open(path, "r+b") as file:
        file.seek(100)
        file.write(b"\xff" * 3000)


# -- while the window is open ------------------------------------------------------------------------------------------


def test_a_backup_is_made_at_opening_and_later_only_if_something_was_entered(workshop: Any, keeper: Keeper) -> None:
    keeper.start()
    assert len(made(workshop)) == 1
    keeper.back_up_if_grown()
    assert len(made(workshop)) == 1
    enter(workshop)
    keeper.back_up_if_grown()
    assert len(made(workshop)) == 2
    keeper.stop()


def test_the_timer_looks_every_few_hours(workshop: Any, keeper: Keeper, qtbot: QtBot) -> None:
    assert keeper._timer.interval() == keeping.EVERY_HOURS * 60 * 60 * 1000
    keeper.start()
    enter(workshop)
    keeper._timer.setInterval(1)
    qtbot.waitUntil(lambda: len(made(workshop)) == 2)
    keeper.stop()


def test_at_closing_the_last_entries_get_their_backup(workshop: Any, keeper: Keeper) -> None:
    keeper.start()
    enter(workshop)
    assert keeper.may_close()
    assert len(made(workshop)) == 2


def test_a_keeper_that_was_not_started_makes_none(workshop: Any, keeper: Keeper) -> None:
    assert keeper.may_close()
    assert made(workshop) == []


def test_a_drive_that_is_not_there_is_said_and_holds_the_window_once(
    workshop: Any, keeper: Keeper, said: Said, tmp_path: Path
) -> None:
    keeper.keep_in(str(tmp_path / "stick"))
    keeper.start()
    assert said == [(keeper.trouble, True)]
    assert keeper.trouble.startswith("No backup was made: The folder for backups")
    assert "Plug its drive in" in keeper.trouble
    assert not keeper.may_close()
    assert said[-1][0].endswith("Close once more to leave without it.")
    assert keeper.may_close()
    (tmp_path / "stick").mkdir()
    keeper.back_up_if_grown()
    assert keeper.trouble == ""
    assert len(list((tmp_path / "stick").iterdir())) == 1


def test_back_up_now_says_where_it_is(workshop: Any, keeper: Keeper, said: Said) -> None:
    keeper.back_up_now()
    (name,) = made(workshop)
    assert said == [(f"A backup was made and compared: {folder_of(workshop) / name}.", False)]


def test_the_work_is_done_off_the_window_s_thread(
    workshop: Any, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, said: Said
) -> None:
    import threading

    seen: list[int] = []
    real = workshop.back_up

    def back_up(folder: str = "") -> Any:
        seen.append(threading.get_ident())
        return real(folder)

    monkeypatch.setattr(workshop, "back_up", back_up)
    tasks = Tasks(lambda error: pytest.fail(str(error)))
    keeper = Keeper(workshop, Settings(), tasks.run, lambda sentence, is_fault=False: said.append((sentence, is_fault)))
    with qtbot.waitSignal(keeper.changed), qtbot.waitSignal(tasks.started) as started:
        keeper.back_up_now()
    assert started.args == ["Making a backup …"]
    assert seen and seen[0] != threading.get_ident()
    tasks.close()


def test_a_damaged_logbook_is_told_and_no_more_backups_are_tried(workshop: Any, keeper: Keeper, qtbot: QtBot) -> None:
    workshop.close()
    damage(workshop.location)
    with qtbot.waitSignal(keeper.damaged) as told:
        keeper.start()
    assert isinstance(told.args[0], DamagedLogbookError)
    assert not keeper._timer.isActive()
    assert keeper.may_close()


# -- on the shop page --------------------------------------------------------------------------------------------------


@pytest.fixture
def section(workshop: Any, keeper: Keeper, qtbot: QtBot) -> Iterator[BackupsSection]:
    page = BackupsSection(workshop, keeper)
    page.resize(1300, 800)
    qtbot.addWidget(page)
    with qtbot.waitExposed(page):
        page.show()
    yield page


def rows(section: BackupsSection) -> list[tuple[str, ...]]:
    return [row.cells for row in section.list.rows_model.rows]


def test_before_the_first_backup_the_page_says_so(section: BackupsSection, workshop: Any) -> None:
    assert section.heading.text() == "No backup yet"
    assert section.count.text() == "There is no backup yet."
    assert str(folder_of(workshop)) in section.where.text()
    assert not section.trouble.isVisible()
    assert not section.usual.isVisible()


def test_the_push_makes_one_and_the_page_tells_of_it(section: BackupsSection, workshop: Any) -> None:
    QTest.mouseClick(section.save, Qt.MouseButton.LeftButton)
    (backup,) = workshop.backups()
    assert len(rows(section)) == 1
    assert section.heading.text().startswith("Last good backup: 2026-03-0")
    assert section.since.text() == "It holds everything that was entered."
    enter(workshop)
    section.refresh()
    assert section.since.text() == "Entries made since: 2."
    assert rows(section)[0][2] == str(backup.head.entry)
    assert rows(section)[0][3].endswith(" MB")


def test_another_folder_is_chosen_and_missed_and_given_up(
    section: BackupsSection, workshop: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    monkeypatch.setattr(section, "ask_folder", lambda: str(stick))
    QTest.mouseClick(section.elsewhere, Qt.MouseButton.LeftButton)
    assert str(stick) in section.where.text()
    QTest.mouseClick(section.save, Qt.MouseButton.LeftButton)
    (on_stick,) = stick.iterdir()
    on_stick.unlink()
    stick.rmdir()
    section.refresh()
    assert "is not there: plug its drive in" in section.trouble.text()
    QTest.mouseClick(section.usual, Qt.MouseButton.LeftButton)
    assert not section.trouble.isVisible()
    assert not section.usual.isVisible()
    monkeypatch.setattr(section, "ask_folder", lambda: "")
    QTest.mouseClick(section.elsewhere, Qt.MouseButton.LeftButton)
    assert str(folder_of(workshop)) in section.where.text()


def test_what_went_wrong_stays_on_the_page(
    section: BackupsSection, workshop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(folder: str = "") -> None:
        raise BackupError("There is no room.", "Make room.")

    monkeypatch.setattr(workshop, "back_up", full)
    QTest.mouseClick(section.save, Qt.MouseButton.LeftButton)
    assert section.trouble.text() == "No backup was made: There is no room. Make room."


def test_a_backup_that_cannot_be_read_is_shown_as_such(section: BackupsSection, workshop: Any) -> None:
    QTest.mouseClick(section.save, Qt.MouseButton.LeftButton)
    os.truncate(workshop.backups()[0].path, 3000)
    section.refresh()
    assert rows(section)[0][1] == "cannot be read"
    assert "another line" in section.since.text()


def test_the_section_passes_the_audit(section: BackupsSection, workshop: Any) -> None:
    QTest.mouseClick(section.save, Qt.MouseButton.LeftButton)
    section._keeper.keep_in(str(folder_of(workshop) / "gone"))
    assert_accessible(section)
    assert_visual_order(section)
    assert_nothing_cut_off(section)


# -- the way back ------------------------------------------------------------------------------------------------------


@pytest.fixture
def lost(workshop: Any) -> Any:
    """Return a workshop with one backup, whose logbook was damaged since."""
    workshop.back_up()
    workshop.close()
    damage(workshop.location)
    return workshop


@pytest.fixture
def show_page(qtbot: QtBot, qapp: Any) -> Callable[..., WayBackPage]:
    def show(workshop: Any, folder: str = "") -> WayBackPage:
        page = WayBackPage(workshop.place, "The logbook is damaged.", folder, keeping.at_once)
        page.resize(1000, 500)
        qtbot.addWidget(page)
        with qtbot.waitExposed(page):
            page.show()
        page.look()
        return page

    return show


def test_the_page_names_the_backup_and_the_loss_and_one_push_goes_back(
    show_page: Callable[..., WayBackPage], lost: Any, qtbot: QtBot
) -> None:
    page = show_page(lost)
    (name,) = made(lost)
    assert name in page.found.text()
    assert page.loss.text().startswith("Everything entered after 2026-03-0")
    assert page.back.text().startswith("Go back to the backup of 2026-03-0")
    assert "is kept beside the logbook" in page.kept.text()
    with qtbot.waitSignal(page.went_back) as went:
        QTest.mouseClick(page.back, Qt.MouseButton.LeftButton)
    assert Path(went.args[0]).exists()
    with open_logbook(lost.location) as logbook, logbook.look() as work:
        assert len(work.cards()) == 3


def test_without_a_good_backup_it_asks_for_the_drive(
    show_page: Callable[..., WayBackPage], lost: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stick = tmp_path / "stick"
    (good,) = folder_of(lost).iterdir()
    kept = good.read_bytes()
    os.truncate(good, 9000)
    page = show_page(lost, str(stick))
    assert "No good backup was found" in page.found.text()
    assert str(stick) in page.found.text()
    assert not page.back.isVisible()
    monkeypatch.setattr(page, "ask_folder", lambda: "")
    QTest.mouseClick(page.elsewhere, Qt.MouseButton.LeftButton)
    assert not page.back.isVisible()
    stick.mkdir()
    (stick / good.name).write_bytes(kept)
    QTest.mouseClick(page.again, Qt.MouseButton.LeftButton)
    assert page.back.isVisible()
    assert page.way is not None and page.way.backup == stick / good.name
    other = tmp_path / "other"
    stick.rename(other)
    QTest.mouseClick(page.again, Qt.MouseButton.LeftButton)
    assert not page.back.isVisible()
    monkeypatch.setattr(page, "ask_folder", lambda: str(other))
    QTest.mouseClick(page.elsewhere, Qt.MouseButton.LeftButton)
    assert page.way is not None and page.way.backup == other / good.name


def test_a_refusal_stays_on_the_page(show_page: Callable[..., WayBackPage], lost: Any) -> None:
    page = show_page(lost)
    (good,) = folder_of(lost).iterdir()
    good.unlink()
    QTest.mouseClick(page.back, Qt.MouseButton.LeftButton)
    assert "There is no backup" in page.answer.text()
    assert page.back.isEnabled()


def test_a_backup_that_is_only_second_best_says_so(show_page: Callable[..., WayBackPage], lost: Any) -> None:
    page = show_page(lost)
    assert page.way is not None
    doubtful = WayBack(page.way.backup, page.way.made_at, page.way.up_to, is_sound=False)
    page.show_way(doubtful)
    assert "do not agree with its trail" in page.kept.text()


def test_the_page_passes_the_audit(show_page: Callable[..., WayBackPage], lost: Any) -> None:
    page = show_page(lost)
    assert_accessible(page)
    assert_visual_order(page)
    assert_nothing_cut_off(page)
    assert page.back.hasFocus() or page.window().focusWidget() is page.back


# -- which window stands in front --------------------------------------------------------------------------------------


class Stage:
    """A front on one logbook, and the windows it has open."""

    def __init__(self, location: str) -> None:
        self.settings = Settings(person="Tam Ollerby")
        self.location = location
        self.workshops: list[Workshop] = []
        self.front = Front(Path(location), self.open, self.settings)

    def open(self) -> Workshop:
        self.workshops.append(Workshop(open_logbook(self.location)))
        return self.workshops[-1]

    def close(self) -> None:
        for window in (self.front.window, self.front.way_back):
            if window is not None:
                window.close()
                window.deleteLater()
        for workshop in self.workshops:
            workshop.close()


@pytest.fixture
def stage(workshop: Any, qtbot: QtBot) -> Iterator[Stage]:
    workshop.close()
    made = Stage(workshop.location)
    yield made
    made.close()


def shown(stage: Stage) -> Window:
    assert stage.front.window is not None
    return stage.front.window


def test_opening_and_closing_the_window_each_make_a_backup(stage: Stage, qtbot: QtBot) -> None:
    workshop = stage.open()
    stage.front.open(workshop)
    qtbot.waitUntil(lambda: len(made(workshop)) == 1)
    enter(workshop)
    assert shown(stage).close()
    assert len(made(workshop)) == 2


def test_a_damaged_logbook_opens_on_the_way_back_and_from_there_on_the_desk(stage: Stage, qtbot: QtBot) -> None:
    workshop = stage.open()
    workshop.back_up()
    workshop.close()
    damage(stage.location)
    with pytest.raises(DamagedLogbookError) as caught:
        stage.open()
    stage.front.offer(caught.value)
    way_back = stage.front.way_back
    assert isinstance(way_back, WayBackWindow)
    qtbot.waitUntil(way_back.page.back.isVisible)
    QTest.mouseClick(way_back.page.back, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: stage.front.window is not None)
    assert not way_back.isVisible()
    window = shown(stage)
    assert window.isVisible()
    assert "The damaged file is kept as" in window.message.sentence.text()
    assert len(stage.workshops[-1].cards()) == 3


def test_damage_met_while_working_leads_to_the_way_back(stage: Stage, qtbot: QtBot) -> None:
    workshop = stage.open()
    stage.front.open(workshop)
    qtbot.waitUntil(lambda: len(made(workshop)) == 1)
    window = shown(stage)
    window.boundary.failed(DamagedLogbookError("The logbook is damaged.", "Go back."))
    assert "is damaged" in window.message.sentence.text()
    assert window.message.action.text() == "Go back to a backup …"
    damage(stage.location)
    QTest.mouseClick(window.message.action, Qt.MouseButton.LeftButton)
    assert not window.isVisible()
    way_back = stage.front.way_back
    assert way_back is not None
    qtbot.waitUntil(way_back.page.back.isVisible, timeout=20_000)
    texts = visible_texts(way_back)
    assert any(text.startswith("The newest good backup was made") for text in texts)


def test_what_cannot_be_opened_afterwards_is_said_there(stage: Stage, qtbot: QtBot) -> None:
    stage.front.offer(DamagedLogbookError("The logbook is damaged.", "Go back."))
    way_back = stage.front.way_back
    assert way_back is not None
    damage(stage.location)
    stage.front._went_back("")
    assert "is damaged" in way_back.message.sentence.text()
    assert way_back.isVisible()


def test_nothing_here_is_modal(stage: Stage) -> None:
    stage.front.offer(DamagedLogbookError("The logbook is damaged.", "Go back."))
    assert stage.front.way_back is not None
    assert not stage.front.way_back.isModal()
    assert not [widget for widget in stage.front.way_back.findChildren(QWidget) if widget.isModal()]
