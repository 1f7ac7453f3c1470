"""A build sheet comes back: whether it is what this logbook issued, by its bytes, by its print, by its code."""

from __future__ import annotations

import re
import shutil
import sqlite3
from contextlib import closing
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from reportlab.graphics.barcode.qr import QrCodeWidget

from core.errors import InputError, UserError
from core.records import open_logbook
from core.sheet.seal import MARK, Seal, code
from core.workshop import Workshop


@pytest.fixture
def sheet(workshop: Any, job: Any, tmp_path: Path) -> Path:
    """Return a shop's copy of the open job, as issued."""
    workshop.record(job.id, "teardown", "runout_found", "0.03", person="Tam Ollerby")
    return workshop.write_sheet(job.id, tmp_path / "sheet.pdf", person="Tam Ollerby")


def printed(path: Path) -> str:
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())
    found = re.search(r"(?:[0-9a-f]{4} ){15}[0-9a-f]{4}", text)
    assert found is not None
    return found.group()


def test_a_sheet_as_issued_is_genuine(workshop: Any, sheet: Path) -> None:
    answer = workshop.check_sheet(sheet)
    assert answer.is_genuine
    assert answer.sentence.startswith(
        "It is the build sheet of job 2407, revision 1, shop's copy, issued on 2026-03-02"
    )
    assert answer.sentence.endswith("nothing in it was changed.")


def test_every_single_changed_byte_is_told(workshop: Any, sheet: Path, tmp_path: Path) -> None:
    whole = sheet.read_bytes()
    for at in range(0, len(whole), len(whole) // 40):
        forged = tmp_path / "forged.pdf"
        forged.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert not workshop.check_sheet(forged).is_genuine, at


def test_a_sheet_changed_after_it_was_issued_is_told_from_a_foreign_one(
    workshop: Any, sheet: Path, tmp_path: Path
) -> None:
    (tmp_path / "longer.pdf").write_bytes(sheet.read_bytes() + b"\n%more")
    changed = workshop.check_sheet(tmp_path / "longer.pdf")
    assert not changed.is_genuine
    assert "carries the fingerprint of the build sheet of job 2407" in changed.sentence
    (tmp_path / "foreign.pdf").write_bytes(b"%PDF-1.4 pinionbook-sheet:" + b"ab" * 32)
    assert workshop.check_sheet(tmp_path / "foreign.pdf").sentence == "This logbook never issued it."
    (tmp_path / "empty.pdf").write_bytes(b"")
    assert not workshop.check_sheet(tmp_path / "empty.pdf").is_genuine


def test_what_is_printed_under_the_signature_is_known_however_it_is_typed(workshop: Any, sheet: Path) -> None:
    groups = printed(sheet)
    for typed in (groups, groups.replace(" ", ""), groups.upper(), f"{MARK}:{groups.replace(' ', '')}", f" {groups}\n"):
        answer = workshop.check_fingerprint(typed)
        assert answer.is_genuine
        assert "It is the fingerprint of the build sheet of job 2407" in answer.sentence
    flipped = ("0" if groups[0] != "0" else "1") + groups[1:]
    assert not workshop.check_fingerprint(flipped).is_genuine


@pytest.mark.parametrize("typed", ["", "ab12", "g" * 64, "ab" * 33, "0.08 mm"])
def test_what_is_no_fingerprint_is_told(workshop: Any, typed: str) -> None:
    with pytest.raises(InputError, match="64 digits and letters"):
        workshop.check_fingerprint(typed)


def test_a_later_revision_is_mentioned(workshop: Any, job: Any, sheet: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with workshop._logbook.work() as work:
        work.sign(job.id, "Tam Ollerby", workshop._clock())
        work.reopen(job.id, "Tam Ollerby", "a word was wrong", workshop._clock())
        work.commit()
    answer = workshop.check_sheet(sheet)
    assert answer.is_genuine
    assert answer.sentence.endswith("The job has become revision 2 since.")


def test_a_logbook_whose_trail_was_forged_whole_is_betrayed_by_the_paper(
    workshop: Any, sheet: Path, clock: Any
) -> None:
    """Somebody takes the guards away, changes a reading and writes the trail anew so that it agrees in itself."""
    path = Path(workshop.location)
    with closing(sqlite3.connect(path)) as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute("UPDATE trail SET chain = 'forged' WHERE id = (SELECT max(id) - 1 FROM trail)")
        connection.commit()
    with open_logbook(path, clock=clock) as logbook:
        answer = Workshop(logbook, clock).check_sheet(sheet)
    assert not answer.is_genuine
    assert "its trail no longer leads there" in answer.sentence


def test_another_logbook_does_not_know_the_sheet(empty_workshop: Any, told_demo: Path) -> None:
    assert not empty_workshop.check_sheet(next(told_demo.glob("*.pdf"))).is_genuine


def test_a_file_that_cannot_be_read_is_told(workshop: Any, tmp_path: Path) -> None:
    for path in (tmp_path / "nothing.pdf", tmp_path, Path("a\0b")):
        with pytest.raises(UserError, match="cannot be read"):
            workshop.check_sheet(path)


def test_a_sheet_that_cannot_be_written_is_not_noted(workshop: Any, job: Any, tmp_path: Path) -> None:
    with pytest.raises(UserError, match="could not be written"):
        workshop.write_sheet(job.id, tmp_path / "no such folder" / "sheet.pdf")
    assert [event.what for event in workshop.events(job.id)] == ["opened"]


def test_a_sheet_that_cannot_be_noted_is_not_written(
    workshop: Any, job: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from core.records import Work

    def refuse(*_: Any, **__: Any) -> None:
        raise InputError("no", "no")

    monkeypatch.setattr(Work, "note_sheet", refuse)
    with pytest.raises(InputError):
        workshop.write_sheet(job.id, tmp_path / "sheet.pdf")
    assert not (tmp_path / "sheet.pdf").exists()


def test_a_copy_carried_elsewhere_is_still_genuine(workshop: Any, sheet: Path, tmp_path: Path) -> None:
    assert workshop.check_sheet(Path(shutil.copyfile(sheet, tmp_path / "copy.pdf"))).is_genuine


def test_the_code_holds_the_fingerprint(monkeypatch: pytest.MonkeyPatch) -> None:
    held: list[str] = []

    class Watched(QrCodeWidget):  # type: ignore[misc]
        def __init__(self, value: str, **how: Any) -> None:
            held.append(value)
            super().__init__(value, **how)

    monkeypatch.setattr(import_module("core.sheet.seal"), "QrCodeWidget", Watched)
    of = Seal("ab" * 32)
    (squares,) = code(of).contents
    assert held == [f"pinionbook-sheet:{'ab' * 32}"]
    assert len(squares.contents) > 400, "the code is drawn, not only worked out"
    assert of.in_groups.split() == ["abab"] * 16


def test_equal_content_gives_the_same_seal_and_every_change_another(workshop: Any, job: Any, clock: Any) -> None:
    from core.sheet import seal

    state, shop, events, now = workshop.state(job.id), workshop.shop(), workshop.events(job.id), clock()
    how = {"copy": "shop", "page": "A4", "made_at": now}
    first = seal(state, shop, events, **how)
    assert first == seal(state, shop, events, **how)
    assert first.fingerprint != seal(state, shop, events, **how | {"copy": "customer"}).fingerprint
    assert first.fingerprint != seal(state, shop, events, head=(3, "ab"), **how).fingerprint
    workshop.record(job.id, "teardown", "runout_found", "0.03", person="Tam Ollerby")
    assert first.fingerprint != seal(workshop.state(job.id), shop, events, **how).fingerprint
    assert re.fullmatch("[0-9a-f]{64}", first.fingerprint)
