"""Handing out and taking in, as the workshop does it: sheets and tables inside, whole or not at all."""

from __future__ import annotations

import csv
import errno
import io
import json
import os
import shutil
import sqlite3
import zipfile
from collections.abc import Iterator
from contextlib import closing
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from exchanging import NOW, files_of, logbook_of, tell_shop
from jsonschema import Draft202012Validator
from pypdf import PdfReader

from core.errors import InputError, UserError
from core.exchange import form, write
from core.exchange.flat import GAUGES, JOBS, MOVES, PARTS, READINGS
from core.records import open_logbook
from core.workshop import Workshop
from core.workshop.exchange import TABLES


@pytest.fixture(scope="module")
def told_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the logbook of a small shop; copying it is faster than telling it for each test."""
    path = tmp_path_factory.mktemp("told-once") / "shop.db"
    with open_logbook(path, clock=lambda: NOW) as logbook, logbook.work(by="Wren Hask") as work:
        tell_shop(work)
        work.commit()
    return path


@pytest.fixture
def shop(told_once: Path, tmp_path: Path) -> Iterator[Workshop]:
    (tmp_path / "logbook").mkdir()
    place = shutil.copyfile(told_once, tmp_path / "logbook" / "shop.db")
    with open_logbook(place, clock=lambda: NOW) as logbook:
        yield Workshop(logbook, lambda: NOW)


@pytest.fixture
def quick(shop: Workshop, monkeypatch: pytest.MonkeyPatch) -> Workshop:
    """Return the shop without a typesetter."""
    monkeypatch.setattr(Workshop, "_sheet", lambda *_: b"%PDF-1.4")
    return shop


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


# -- what is in it -----------------------------------------------------------------------------------------------------


def test_an_archive_holds_what_its_readme_says(shop: Workshop, tmp_path: Path) -> None:
    found = files_of(shop.export_archive(tmp_path / "unit.zip", unit="K-1183", page="Letter"))
    photos = [name for name in found if name.startswith("photos/")]
    assert set(found) - set(photos) == {
        "README.txt",
        "manifest.json",
        "logbook.json",
        "sheets/2407.pdf",
        "sheets/2408.pdf",
        *(f"csv/{name}.csv" for name in TABLES),
    }
    assert len(photos) == 2
    readme = found["README.txt"].decode()
    for name in ("manifest.json", "logbook.json", "photos/", "sheets/", "csv/", "archive.schema.json"):
        assert name in readme
    sheet = PdfReader(io.BytesIO(found["sheets/2407.pdf"]))
    assert "K-1183" in sheet.pages[0].extract_text()
    assert float(sheet.pages[0].mediabox.width) == 612


def test_a_sheet_in_an_archive_is_not_noted_as_issued(shop: Workshop, tmp_path: Path) -> None:
    job = shop.job("2407")
    before = shop.events(job.id)
    shop.export_archive(tmp_path / "job.zip", job="2407")
    assert shop.events(job.id) == before


def test_both_files_have_the_shape_of_the_schema(quick: Workshop, tmp_path: Path) -> None:
    schema = json.loads(files("assets").joinpath("schema", "archive.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    found = files_of(quick.export_archive(tmp_path / "all.zip"))
    for name in ("manifest.json", "logbook.json"):
        assert validator.is_valid(json.loads(found[name]))
    assert not validator.is_valid({})


def test_every_field_of_the_schema_is_described_or_speaks_for_itself() -> None:
    schema = json.loads(files("assets").joinpath("schema", "archive.schema.json").read_text(encoding="utf-8"))
    for name, shape in schema["$defs"].items():
        assert shape.get("description") or name in ("uid", "number"), name
        assert shape.get("type") != "object" or shape["additionalProperties"] is False


def test_the_same_logbook_tells_the_same_twice(quick: Workshop, tmp_path: Path) -> None:
    one, two = (quick.export_archive(tmp_path / f"{name}.zip").read_bytes() for name in ("one", "two"))
    assert one == two


def test_the_manifest_says_where_the_trail_ended(quick: Workshop, tmp_path: Path) -> None:
    manifest = json.loads(files_of(quick.export_archive(tmp_path / "all.zip"))["manifest.json"])
    with quick._logbook.look() as work:
        entries, chain = work.head()
    assert manifest["trail"] == {"entries": entries, "chain": chain}
    assert (manifest["scope"], manifest["about"], manifest["shop"]) == ("everything", "", "Ferrow Lane Driveline")
    assert [file["name"] for file in manifest["files"]] == sorted(file["name"] for file in manifest["files"])


def test_an_empty_logbook_is_handed_out_too(empty_workshop: Any, tmp_path: Path) -> None:
    found = logbook_of(empty_workshop.export_archive(tmp_path / "none.zip"))
    assert found["jobs"] == found["people"] == []
    assert empty_workshop.import_archive(tmp_path / "none.zip").is_nothing_new


@pytest.mark.parametrize(
    ("numbers", "names"),
    [
        (["2407", "A/7"], ["2407", "A 7"]),
        (["a", "A"], ["a", "A u1"]),
        (["../x", "..", "Ж"], ["x", "u1", "u2"]),
        (["C:\\x", "x" * 90], ["C x", "x" * 40]),
    ],
)
def test_sheets_are_called_by_what_every_disk_takes(numbers: list[str], names: list[str]) -> None:
    jobs = [{"uid": f"u{at}", "number": number} for at, number in enumerate(numbers)]
    assert list(form.sheet_names(jobs).values()) == [f"sheets/{name}.pdf" for name in names]
    assert all(form.largest(f"sheets/{name}.pdf") for name in names)


# -- tables ------------------------------------------------------------------------------------------------------------


def test_the_columns_of_every_table_are_stable(quick: Workshop) -> None:
    columns = {"readings": READINGS, "jobs": JOBS, "parts": PARTS, "moves": MOVES, "gauges": GAUGES}
    for name in TABLES:
        text = quick.table_csv(name)
        assert text.split("\r\n")[0] == ",".join(columns[name])
        assert len(table(text)) > 0
        assert text.encode("utf-8").decode("utf-8") == text


def test_jobs_as_a_table(quick: Workshop) -> None:
    first, second, _ = table(quick.table_csv("jobs"))
    assert (first["job"], first["serial"], first["customer"]) == ("2407", "K-1183", "Brackwater Hill-climb Club")
    assert (first["signed_by"], first["signed_at"], first["limited_slip"]) == ("Tam Ollerby", NOW.isoformat(), "yes")
    assert first["asked_for"] == 'quiet,\nand "documented"'
    assert (second["tag_ratio"], second["signed_at"], second["card_revision"]) == ("", "", "2")


def test_parts_moves_and_gauges_as_tables(quick: Workshop) -> None:
    ring, shim = table(quick.table_csv("parts"))
    assert (ring["place"], ring["nominal_mm"], ring["measured_places"], ring["free_pieces"]) == ("C3", "2.5", "3", "2")
    assert float(ring["measured_mm"]) == pytest.approx(2.499667, abs=1e-6)
    assert (shim["measured_mm"], shim["measured_places"]) == ("", "0")
    assert (ring["fits"], shim["fits"]) == ("", "sides")
    moves = table(quick.table_csv("moves"))
    assert [(move["what"], move["pieces"], move["job"]) for move in moves] == [
        ("received", "2", ""),
        ("received", "4", ""),
        ("reserved", "-1", "2407"),
        ("returned", "1", "2407"),
        ("reserved", "-1", "2407"),
    ]
    assert moves[2]["part"] == ring["part"]
    (gauge,) = table(quick.table_csv("gauges"))
    assert (gauge["resolution"], gauge["stated_error"], gauge["unit"]) == ("0.01", "0.005", "mm")
    assert gauge["calibrated_on"] == "2026-01-05"


def test_a_table_of_one_job_or_unit(quick: Workshop) -> None:
    assert {row["job"] for row in table(quick.table_csv("readings", job="2408"))} == {"2408"}
    assert {row["job"] for row in table(quick.table_csv("readings", unit="k1183"))} == {"2407", "2408"}
    assert [row["place"] for row in table(quick.table_csv("parts", job="2408"))] == []


def test_readings_are_counted_within_their_job(quick: Workshop) -> None:
    rows = table(quick.table_csv("readings"))
    assert [(row["job"], row["reading"], row["replaces"]) for row in rows] == [
        ("2407", "1", ""),
        ("2407", "2", "1"),
        ("2407", "3", ""),
        ("2407", "4", "3"),
        ("2408", "1", ""),
    ]
    negative = rows[-1]
    assert (negative["value"], negative["typed"]) == ("-0.01", "'-0.01")


def test_no_cell_of_any_table_could_be_run(quick: Workshop) -> None:
    with quick._logbook.work(by="=cmd") as work:
        work.add_part("ring", "=1+1", "@A1", 2.0, 1)
        work.add_gauge("+gauge", "dial", "length", 0.01, 0.005)
        job = work.jobs()[0]
        for field, text in (("customer", "=2+2"), ("contact", "\t=3"), ("vehicle", "-4"), ("asked_for", "@5")):
            work.change_job(job.id, field, text, "Tam Ollerby", "", NOW)
        work.commit()
    numbers = {"value", "pieces"}
    for name in TABLES:
        for row in table(quick.table_csv(name)):
            odd = {key: cell for key, cell in row.items() if cell[:1] in ("=", "+", "-", "@", "\t", "\r", "\n")}
            assert set(odd) <= numbers, odd


def test_there_is_no_other_table(quick: Workshop, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no table people"):
        quick.export_table(tmp_path / "x.csv", "people")


def test_a_table_is_a_file_with_the_same_bytes(quick: Workshop, tmp_path: Path) -> None:
    path = quick.export_table(tmp_path / "jobs.csv", "jobs")
    assert path.read_bytes().decode("utf-8") == quick.table_csv("jobs")


# -- whole or not at all -----------------------------------------------------------------------------------------------


def nothing_left(folder: Path) -> bool:
    return [path.name for path in folder.iterdir()] == ["logbook"]


@pytest.mark.parametrize("what", ["archive", "table"])
def test_what_is_there_already_stays(quick: Workshop, tmp_path: Path, what: str) -> None:
    path = tmp_path / "mine.txt"
    path.write_text("milk, bread", encoding="utf-8")
    with pytest.raises(UserError, match="already"):
        quick.export_archive(path) if what == "archive" else quick.export_table(path, "jobs")
    assert path.read_text(encoding="utf-8") == "milk, bread"
    assert sorted(found.name for found in tmp_path.iterdir()) == ["logbook", "mine.txt"]


@pytest.mark.parametrize("place", ["missing/all.zip", "logbook", "x" * 300 + ".zip", "nul\0.zip"])
def test_a_place_that_cannot_be_is_a_sentence(quick: Workshop, tmp_path: Path, place: str) -> None:
    with pytest.raises(UserError) as caught:
        quick.export_archive(tmp_path / place)
    assert caught.value.remedy
    assert nothing_left(tmp_path)


def test_a_disk_that_fills_up_leaves_nothing_behind(
    quick: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = zipfile.ZipFile.writestr
    written: list[str] = []

    def fill_up(archive: zipfile.ZipFile, info: Any, *rest: Any) -> None:
        if len(written) == 4:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        written.append(info.filename)
        real(archive, info, *rest)

    monkeypatch.setattr(zipfile.ZipFile, "writestr", fill_up)
    with pytest.raises(UserError, match="No space left"):
        quick.export_archive(tmp_path / "all.zip")
    assert nothing_left(tmp_path)


def test_what_does_not_read_back_is_not_kept(quick: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = write._add

    def spoil(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
        real(archive, name, content + b" " if name == form.LOGBOOK else content)

    monkeypatch.setattr(write, "_add", spoil)
    with pytest.raises(UserError, match="did not read back"):
        quick.export_archive(tmp_path / "all.zip")
    assert nothing_left(tmp_path)


def test_a_folder_that_may_not_be_written_is_a_sentence(
    quick: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def closed(*_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(write, "_write", closed)
    with pytest.raises(UserError, match="Permission denied"):
        quick.export_archive(tmp_path / "all.zip")
    assert nothing_left(tmp_path)


def test_a_disk_that_fills_up_while_taking_in_leaves_the_logbook_as_it_was(
    quick: Workshop, empty_workshop: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive = quick.export_archive(tmp_path / "all.zip")

    from core.workshop import exchange

    def gone(*_: object) -> None:
        raise UserError("the disk is full")

    monkeypatch.setattr(exchange, "_picture", gone)
    with pytest.raises(UserError):
        empty_workshop.import_archive(archive)
    assert empty_workshop.people() == []
    assert empty_workshop.find_jobs() == []


# -- logbooks of earlier versions --------------------------------------------------------------------------------------


def test_a_logbook_of_the_first_version_goes_out_and_comes_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Workshop, "_sheet", lambda *_: b"%PDF-1.4")
    (tmp_path / "old").mkdir()
    with closing(sqlite3.connect(tmp_path / "old" / "logbook.db")) as connection:
        connection.executescript((Path(__file__).parent / "records" / "old" / "0001.sql").read_text(encoding="utf-8"))
    with open_logbook(tmp_path / "old" / "logbook.db") as logbook:
        archive = Workshop(logbook).export_archive(tmp_path / "old.zip")
    told = logbook_of(archive)
    assert told["jobs"]
    assert told["moves"]
    with open_logbook(tmp_path / "new.db") as logbook:
        taken = Workshop(logbook).import_archive(archive)
        assert taken.count("new") == len(told["jobs"])
        again = Workshop(logbook).export_archive(tmp_path / "new.zip")
    assert logbook_of(again) == told
