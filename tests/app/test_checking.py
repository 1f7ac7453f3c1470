"""Whether the logbook is whole and a build sheet genuine, asked on the shop page."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any, get_args

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app import cli
from app.keeping.checking import CheckingPart
from app.settings import Settings
from app.verify_cli import NOT_GENUINE
from app.window import Window
from core.records.verify import Kind
from core.workshop.checking import MEANINGS, STOCK

PERSON = "Tam Ollerby"


@pytest.fixture
def window(qtbot: QtBot, workshop: Any, job: Any) -> Iterator[Window]:
    made = Window(workshop, Settings(person=PERSON, path=None))
    made.resize(1360, 880)
    qtbot.addWidget(made)
    made.show()
    made.show_shop()
    made.shop.show_section(made.shop.backups)
    yield made
    made.close()


@pytest.fixture
def sheet(workshop: Any, job: Any, tmp_path: Path) -> Path:
    return workshop.write_sheet(job.id, tmp_path / "sheet.pdf", person=PERSON)


Check = Callable[[], CheckingPart]


@pytest.fixture
def check_logbook(qtbot: QtBot, window: Window) -> Check:
    part = window.shop.backups.checking

    def check() -> CheckingPart:
        QTest.mouseClick(part.logbook, Qt.MouseButton.LeftButton)
        assert part.answer.text() == "Comparing every row with the trail …"
        qtbot.waitUntil(lambda: "rows against" in part.answer.text(), timeout=20_000)
        return part

    return check


def check_sheet(qtbot: QtBot, window: Window, path: str) -> str:
    part = window.shop.backups.checking
    part.ask_file = lambda: path  # type: ignore[method-assign]
    QTest.mouseClick(part.sheet, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not part.answer.text().startswith("Reading"), timeout=20_000)
    return part.answer.text()


def alter(workshop: Any, statement: str) -> None:
    with closing(sqlite3.connect(workshop.location)) as connection:
        connection.execute(statement)
        connection.commit()


def test_a_whole_logbook_is_said_to_be_whole(check_logbook: Check) -> None:
    part = check_logbook()
    assert part.answer.text().startswith("The logbook is whole. ")
    assert ": 0 do not agree. The trail ends with entry " in part.answer.text()
    assert part.answer.property("role") == "body"
    assert not part.found.isVisible()
    assert not part.meaning.isVisible()


def test_what_was_altered_is_listed_and_says_what_that_means(workshop: Any, check_logbook: Check) -> None:
    alter(workshop, "UPDATE unit SET serial = 'K-1188'")
    alter(workshop, "DELETE FROM gauge WHERE id = (SELECT max(id) FROM gauge)")
    part = check_logbook()
    assert ": 2 do not agree." in part.answer.text()
    assert part.answer.property("role") == "refusal"
    sentences = [found.sentence for found in part.found.rows_model.rows]
    assert sentences[0] == "unit 1 was altered: serial says “K-1188”, the trail “K-1183”."
    assert sentences[1].endswith("is missing: the trail says it was written.")
    assert part.meaning.text() == f"{sentences[0]}\n{MEANINGS['altered']}"
    part.found.choose(1)
    assert part.meaning.text() == f"{sentences[1]}\n{MEANINGS['missing']}"


def test_pieces_that_no_move_explains_are_found_on_the_page_and_by_the_command(
    workshop: Any, check_logbook: Check, capsys: pytest.CaptureFixture[str]
) -> None:
    part_id = workshop.parts()[0].id
    alter(workshop, f"UPDATE part SET count = count + 3 WHERE id = {part_id}")
    shown = [found.sentence for found in check_logbook().found.rows_model.rows]
    assert [f"(part {part_id})" in sentence for sentence in shown] == [False, True]
    assert cli.run(["--logbook", workshop.location, "verify"]) == NOT_GENUINE
    assert capsys.readouterr().out.splitlines()[:2] == shown


def test_asked_again_once_it_was_put_right_nothing_is_left_of_it(workshop: Any, check_logbook: Check) -> None:
    alter(workshop, "UPDATE unit SET serial = 'K-1188'")
    assert check_logbook().found.isVisible()
    alter(workshop, "UPDATE unit SET serial = 'K-1183'")
    part = check_logbook()
    assert part.answer.text().startswith("The logbook is whole. ")
    assert not part.found.isVisible()


def test_every_kind_of_finding_has_its_meaning() -> None:
    assert set(MEANINGS) == {*get_args(Kind), STOCK}


def test_the_rows_are_compared_off_the_window_s_thread(
    workshop: Any, check_logbook: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    threads = []
    compare = workshop._logbook.verify

    def noted() -> Any:
        threads.append(threading.current_thread())
        return compare()

    monkeypatch.setattr(workshop._logbook, "verify", noted)
    check_logbook()
    assert len(threads) == 1
    assert threads[0] is not threading.main_thread()


def test_a_sheet_as_it_was_issued_one_changed_and_a_strange_one(
    qtbot: QtBot, window: Window, sheet: Path, tmp_path: Path
) -> None:
    said = check_sheet(qtbot, window, str(sheet))
    assert said.startswith("sheet.pdf: It is the build sheet of job 2407, revision 1, shop's copy, issued on ")
    assert said.endswith("nothing in it was changed.")
    changed = tmp_path / "changed.pdf"
    changed.write_bytes(sheet.read_bytes()[:-1])
    assert "the file was changed after that" in check_sheet(qtbot, window, str(changed))
    assert window.shop.backups.checking.answer.property("role") == "refusal"
    strange = tmp_path / "strange.pdf"
    strange.write_bytes(b"%PDF-1.4\n")
    assert check_sheet(qtbot, window, str(strange)) == "strange.pdf: This logbook never issued it."
    assert "cannot be read" in check_sheet(qtbot, window, str(tmp_path / "gone.pdf"))


def test_no_file_chosen_asks_nothing(window: Window) -> None:
    part = window.shop.backups.checking
    part.ask_file = lambda: ""  # type: ignore[method-assign]
    QTest.mouseClick(part.sheet, Qt.MouseButton.LeftButton)
    assert not part.answer.isVisible()


def test_the_section_passes_the_audit_full_of_findings(workshop: Any, window: Window, check_logbook: Check) -> None:
    alter(workshop, "UPDATE unit SET serial = 'K-1188'")
    check_logbook()
    section = window.shop.backups
    assert_accessible(section)
    assert_visual_order(section)
    assert_nothing_cut_off(section)
