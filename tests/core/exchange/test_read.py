"""Archives nobody vouches for: each fault is a sentence, nothing is written, and nothing lands on the disk."""

from __future__ import annotations

import json
import struct
import zipfile
from collections.abc import Callable
from datetime import timedelta, timezone
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from exchanging import NOW, altered, files_of, logbook_of, pack, picture, sealed, tell_shop
from PIL import Image

from core.errors import InputError
from core.exchange import form, read
from core.exchange.read import Archive
from core.records import open_logbook
from core.workshop import Workshop

UID = "0" * 8 + "-0000-4000-8000-" + "0" * 12


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a sound archive; nobody changes it."""
    folder = tmp_path_factory.mktemp("good")
    with pytest.MonkeyPatch.context() as patched, open_logbook(folder / "a.db", clock=lambda: NOW) as logbook:
        # Sheets take longer than all the rest, and no fault here is about one.
        patched.setattr(Workshop, "_sheet", lambda *_: b"%PDF-1.4")
        with logbook.work() as work:
            tell_shop(work)
            work.commit()
        return Workshop(logbook, lambda: NOW).export_archive(folder / "good.zip")


@pytest.fixture
def files(good: Path) -> dict[str, bytes]:
    return files_of(good)


def refused(path: Path) -> str:
    """Return the sentence an archive is refused with."""
    before = set(path.parent.iterdir())
    with pytest.raises(InputError) as caught:
        Archive(path, NOW)
    assert set(path.parent.iterdir()) == before
    assert caught.value.remedy
    return caught.value.message


def test_a_sound_archive_opens_and_gives_its_photos(good: Path) -> None:
    with Archive(good, NOW) as archive:
        photo = archive.logbook["jobs"][0]["photos"][0]
        assert archive.photo(photo["uid"]) == picture().image
        assert archive.manifest["scope"] == "everything"


def test_what_happened_a_moment_ago_is_not_in_the_future_by_any_clock(good: Path) -> None:
    for hours in (-11, 0, 13):
        with Archive(good, NOW.astimezone(timezone(timedelta(hours=hours)))) as archive:
            assert archive.logbook["jobs"]


def test_packed_again_by_another_program_it_is_as_good(files: dict[str, bytes], tmp_path: Path) -> None:
    with Archive(pack(tmp_path / "again.zip", files), NOW) as archive:
        assert len(archive.logbook["jobs"]) == 3


# -- no archive at all -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("content", [b"", b"PK", b"milk, bread", b"\x00" * 5000, b"PK\x05\x06" + b"\x00" * 17])
def test_what_is_no_zip_is_refused(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "notes.zip"
    path.write_bytes(content)
    assert "not an archive" in refused(path)


def test_an_empty_zip_is_refused(tmp_path: Path) -> None:
    assert "manifest.json is missing" in refused(pack(tmp_path / "empty.zip", {}))


def test_a_folder_or_nothing_at_all_is_refused(tmp_path: Path) -> None:
    assert "no file" in refused(tmp_path / "none.zip")
    (tmp_path / "folder.zip").mkdir()
    assert "no file" in refused(tmp_path / "folder.zip")
    with pytest.raises(InputError):
        Archive(Path("nul\0byte.zip"), NOW)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_cut_short_anywhere_it_is_refused(good: Path, tmp_path: Path, share: float) -> None:
    content = good.read_bytes()
    path = tmp_path / "cut.zip"
    path.write_bytes(content[: int(len(content) * share)])
    assert "cut short" in refused(path)


def test_a_byte_turned_over_anywhere_is_found_or_of_no_account(good: Path, tmp_path: Path) -> None:
    content = good.read_bytes()
    path = tmp_path / "turned.zip"
    of_account = bytes_of_account(good)
    for at in range(0, len(content), max(len(content) // 150, 1)):
        path.write_bytes(content[:at] + bytes([content[at] ^ 0x55]) + content[at + 1 :])
        try:
            with Archive(path, NOW) as archive:
                assert archive.logbook == logbook_of(good)
                assert at not in of_account
        except InputError:
            pass


def bytes_of_account(path: Path) -> set[int]:
    """Return where a ZIP keeps content, names, checksums and places of files (APPNOTE 6.3.10, 4.3.7 and 4.3.12).

    The rest says when and by what it was packed, or how large files are, which nobody believes.
    """
    content = path.read_bytes()
    places: set[int] = set()
    with zipfile.ZipFile(path) as archive:
        entry_at = archive.start_dir
        for entry in archive.infolist():
            name, extra, comment = struct.unpack_from("<HHH", content, entry_at + 28)
            places |= {entry_at + at for at in (*range(4), *range(16, 20), *range(42, 46 + name))}
            entry_at += 46 + name + extra + comment
            data_at = entry.header_offset + 30 + sum(struct.unpack_from("<HH", content, entry.header_offset + 26))
            # The last bytes only say that it ends, which its length has said already.
            places |= {*range(entry.header_offset + 30, data_at + entry.compress_size - 3)}
    return places


def test_a_comment_at_the_end_is_refused(good: Path, tmp_path: Path) -> None:
    path = tmp_path / "comment.zip"
    path.write_bytes(good.read_bytes())
    with zipfile.ZipFile(path, "a") as archive:
        archive.comment = b"packed by hand"
    assert "not an archive" in refused(path)


# -- names -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    [
        "../logbook.json",
        "photos/../../x.jpg",
        "/etc/passwd",
        "C:\\x.json",
        "C:/x.json",
        "\\\\server\\x",
        "photos\\x.jpg",
        "notes.txt",
        "photos/",
        "csv/run.exe",
        "sheets/.pdf",
        "sheets/" + "a" * 200 + ".pdf",
        "csv/readings.csv\n",
        "\u202emanifest.json",
    ],
)
def test_names_that_do_not_belong_are_refused(files: dict[str, bytes], tmp_path: Path, name: str) -> None:
    assert "does not belong" in refused(pack(tmp_path / "odd.zip", sealed({**files, name: b"x"})))


def test_a_name_with_a_nul_is_refused(files: dict[str, bytes], tmp_path: Path) -> None:
    path = pack(tmp_path / "nul.zip", {**files, "csv/gaugesX.csv": b"x"})
    path.write_bytes(path.read_bytes().replace(b"csv/gaugesX.csv", b"csv/gauges\0.csv"))
    assert "does not belong" in refused(path)


def test_a_link_is_refused(files: dict[str, bytes], tmp_path: Path) -> None:
    path = tmp_path / "link.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in files.items():
            info = zipfile.ZipInfo(name)
            info.create_system = 3
            info.external_attr = (0o120777 if name == "csv/jobs.csv" else 0o100644) << 16
            archive.writestr(info, content)
    assert "csv/jobs.csv" in refused(path)


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize("again", ["csv/jobs.csv", "sheets/2407.PDF", "sheets/2407.pdf"])
def test_a_name_that_comes_twice_is_refused(files: dict[str, bytes], tmp_path: Path, again: str) -> None:
    path = pack(tmp_path / "twice.zip", files)
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(again, b"x")
    assert ("twice" in (told := refused(path))) or "does not belong" in told


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_names_that_differ_by_case_are_refused(files: dict[str, bytes], tmp_path: Path) -> None:
    extra = {"sheets/Job.pdf": b"x", "sheets/job.pdf": b"y"}
    assert "twice" in refused(pack(tmp_path / "case.zip", sealed({**files, **extra})))


# -- sizes -------------------------------------------------------------------------------------------------------------


def test_a_million_files_are_refused_before_their_list_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one = struct.pack("<4s6H3L5H2L", b"PK\x01\x02", 20, 20, 0, 0, 0, 0, 0, 0, 0, 12, 0, 0, 0, 0, 0, 0) + b"csv/jobs.csv"
    path = tmp_path / "million.zip"
    with path.open("wb") as file:
        for _ in range(1000):
            file.write(one * 1000)
        size = file.tell()
        file.write(struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 0xFFFF, 0xFFFF, size, 0, 0))
    monkeypatch.setattr(zipfile, "ZipFile", lambda *_: pytest.fail("its list of files was read"))
    assert "more files" in refused(path)


def test_more_files_than_can_be_are_refused(
    files: dict[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(form, "MOST_FILES", 5)
    assert "more files" in refused(pack(tmp_path / "many.zip", files))


def test_a_list_of_files_said_to_be_small_in_one_place_and_large_in_another_is_refused(
    good: Path, tmp_path: Path
) -> None:
    content = good.read_bytes()
    body, end = content[:-22], content[-22:]
    size = 10**9
    big = struct.pack("<4sQ2H2L4Q", b"PK\x06\x06", 44, 45, 45, 0, 0, 1, 1, size, 0)
    locator = struct.pack("<4sLQL", b"PK\x06\x07", 0, len(body), 1)
    path = tmp_path / "two-ends.zip"
    path.write_bytes(body + big + locator + end)
    assert "more files" in refused(path)
    path.write_bytes(body + b"\0" * 56 + locator + end)
    assert "not an archive" in refused(path)


def test_a_bomb_is_refused_while_it_unpacks(files: dict[str, bytes], tmp_path: Path) -> None:
    bomb = b'{"scope": "' + b"a" * 60_000_000 + b'"}'
    path = pack(tmp_path / "bomb.zip", sealed({**files, "logbook.json": bomb}))
    assert path.stat().st_size < 1_000_000
    assert "unpacks to more than it may" in refused(path)


def test_a_bomb_that_lies_about_its_size_is_refused(files: dict[str, bytes], tmp_path: Path) -> None:
    bomb = b" " * 60_000_000
    path = pack(tmp_path / "bomb.zip", {**files, "csv/jobs.csv": bomb})
    # Both of its headers say that it is as small as the manifest says.
    said = struct.pack("<L", len(files["csv/jobs.csv"]))
    path.write_bytes(path.read_bytes().replace(struct.pack("<L", len(bomb)), said))
    assert "csv/jobs.csv" in refused(path)


def test_all_files_together_have_a_limit(files: dict[str, bytes], tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setattr(form, "LARGEST_ARCHIVE", 1000)
    assert "unpacks to more than it may" in refused(pack(tmp_path / "large.zip", files))


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_other_ways_of_packing_are_not_opened(files: dict[str, bytes], tmp_path: Path, method: int) -> None:
    path = tmp_path / "packed.zip"
    with zipfile.ZipFile(path, "w", method) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    assert "not opened here" in refused(path)


def test_an_encrypted_archive_is_refused(files: dict[str, bytes], tmp_path: Path) -> None:
    path = pack(tmp_path / "secret.zip", files)
    content = bytearray(path.read_bytes())
    for signature, flags_at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        content[content.index(signature) + flags_at] |= 1
    path.write_bytes(content)
    assert "encrypted" in refused(path)


# -- manifest ----------------------------------------------------------------------------------------------------------


def with_manifest(files: dict[str, bytes], path: Path, change: Callable[[dict[str, Any]], None]) -> Path:
    manifest = json.loads(files["manifest.json"])
    change(manifest)
    return pack(path, {**files, "manifest.json": json.dumps(manifest).encode()})


@pytest.mark.parametrize("name", ["logbook.json", "csv/jobs.csv", "sheets/2407.pdf", "README.txt"])
def test_a_file_that_was_changed_is_named(files: dict[str, bytes], tmp_path: Path, name: str) -> None:
    changed = files[name].replace(b"2", b"3", 1) if b"2" in files[name] else files[name] + b" "
    assert name in refused(pack(tmp_path / "changed.zip", {**files, name: changed}))


@pytest.mark.parametrize("name", ["manifest.json", "logbook.json", "csv/jobs.csv"])
def test_a_file_that_is_missing_is_named(files: dict[str, bytes], tmp_path: Path, name: str) -> None:
    assert name in refused(pack(tmp_path / "less.zip", {k: v for k, v in files.items() if k != name}))


def test_a_file_the_manifest_does_not_name_is_refused(files: dict[str, bytes], tmp_path: Path) -> None:
    assert "sheets/extra.pdf" in refused(pack(tmp_path / "more.zip", {**files, "sheets/extra.pdf": b"x"}))


def test_an_archive_of_the_first_version_has_no_advice(files: dict[str, bytes], tmp_path: Path) -> None:
    told = json.loads(files["logbook.json"])
    wanted = [{**job, "advised": []} for job in told["jobs"]]
    for job in told["jobs"]:
        del job["advised"]
    for part in told["parts"]:
        del part["fits"]
    older = {**files, "logbook.json": json.dumps(told).encode()}
    path = with_manifest(sealed(older), tmp_path / "older.zip", lambda m: m.update(version=1))
    with Archive(path, NOW) as archive:
        assert archive.logbook["jobs"] == wanted


def test_an_archive_of_the_second_version_does_not_say_where_a_shim_fits(
    files: dict[str, bytes], tmp_path: Path
) -> None:
    told = json.loads(files["logbook.json"])
    assert [part["fits"] for part in told["parts"]] == ["", "sides"]
    for part in told["parts"]:
        del part["fits"]
    older = sealed({**files, "logbook.json": json.dumps(told).encode()})
    with Archive(with_manifest(older, tmp_path / "older.zip", lambda m: m.update(version=2)), NOW) as archive:
        assert [part["fits"] for part in archive.logbook["parts"]] == ["", ""]
        assert [job["advised"] for job in archive.logbook["jobs"]] == [job["advised"] for job in told["jobs"]]
    assert "logbook.json" in refused(with_manifest(older, tmp_path / "now.zip", lambda m: m.update(version=3)))


@pytest.mark.parametrize("told", [[], "", {"jobs": {}}, {"jobs": [7, []]}, {"jobs": [{"advised": 7}]}])
def test_an_archive_of_the_first_version_is_judged_all_the_same(
    files: dict[str, bytes], tmp_path: Path, told: Any
) -> None:
    older = sealed({**files, "logbook.json": json.dumps(told).encode()})
    assert "logbook.json" in refused(with_manifest(older, tmp_path / "odd.zip", lambda m: m.update(version=1)))


def test_a_newer_archive_says_so(files: dict[str, bytes], tmp_path: Path) -> None:
    path = with_manifest(
        files, tmp_path / "newer.zip", lambda m: m.update(version=form.VERSION + 1, shape="new", files=[])
    )
    assert "newer version" in refused(path)


@pytest.mark.parametrize(
    "change",
    [
        lambda m: m.update(format="something else"),
        lambda m: m.pop("format"),
        lambda m: m.update(version=True),
        lambda m: m.update(version="1"),
        lambda m: m.update(files={}),
        lambda m: m.update(more=1),
        lambda m: m.update(scope="job"),
        lambda m: m["files"].append(m["files"][0]),
        lambda m: m["files"].append({**m["files"][0], "name": "manifest.json"}),
        lambda m: m["trail"].pop("chain"),
    ],
)
def test_a_manifest_that_is_none_is_refused(
    files: dict[str, bytes], tmp_path: Path, change: Callable[[dict[str, Any]], None]
) -> None:
    refused(with_manifest(files, tmp_path / "odd.zip", change))


# -- JSON --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "as JSON"),
        (b"\xff\xfe{}", "as JSON"),
        (b"\xef\xbb\xbf{}", "as JSON"),
        (b"{", "as JSON"),
        (b'{"a": 1} {}', "as JSON"),
        (b"[" * 200_000, "too deeply"),
        (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, "too deeply"),
        (b'{"scope": NaN}', "NaN"),
        (b'{"scope": -Infinity}', "Infinity"),
        (b'{"scope": 1e999}', "1e999"),
        (b'{"scope": ' + b"9" * 5000 + b"}", "999"),
        (b'{"scope": 1, "scope": 2}', "twice"),
        (b'{"jobs": [{"uid": 1, "uid": 1}]}', "twice"),
        (b"[]", "the beginning"),
        (b"null", "the beginning"),
        (b"{}", "the beginning"),
    ],
)
def test_json_that_is_not_as_written_here_is_refused(
    files: dict[str, bytes], tmp_path: Path, content: bytes, told: str
) -> None:
    path = pack(tmp_path / "json.zip", sealed({**files, "logbook.json": content}))
    assert told in refused(path)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda b: b["jobs"][0]["readings"][0].update(value="0.2"), "jobs/0/readings/0/value"),
        (lambda b: b["jobs"][0]["readings"][0].update(value=1e12), "jobs/0/readings/0/value"),
        (lambda b: b["jobs"][0]["readings"][0].update(trial=-1), "jobs/0/readings/0/trial"),
        (lambda b: b["jobs"][0]["readings"][0].pop("person"), "jobs/0/readings/0"),
        (lambda b: b["jobs"][0].update(extra=1), "jobs/0"),
        (lambda b: b["jobs"][0].pop("advised"), "jobs/0"),
        (lambda b: b["jobs"][0]["advised"][0].update(chance=1.01), "jobs/0/advised/0/chance"),
        (lambda b: b["jobs"][0]["advised"][0].update(trial=0), "jobs/0/advised/0/trial"),
        (lambda b: b["jobs"][0]["advised"][0].update(opposite_side_mm=-0.1), "jobs/0/advised/0/opposite_side_mm"),
        (lambda b: b["jobs"][0]["advised"][0].update(high=None), "jobs/0/advised/0/high"),
        (lambda b: b["jobs"][0].update(asked_for="x" * 5000), "jobs/0/asked_for"),
        (lambda b: b["people"][0].update(pin="1234"), "people/0"),
        (lambda b: b["people"][0].update(role="god"), "people/0/role"),
        (lambda b: b["jobs"][0]["events"].clear(), "jobs/0/events"),
        (lambda b: b["parts"][0].update(count=-1), "parts/0/count"),
    ],
)
def test_what_has_not_the_shape_of_the_schema_is_refused_where_it_has_not(
    good: Path, tmp_path: Path, change: Callable[[dict[str, Any]], None], told: str
) -> None:
    assert f"at {told}." in refused(altered(good, tmp_path / "shape.zip", change))


def _twice(rows: list[dict[str, Any]], **changes: Any) -> None:
    rows.append({**rows[0], **changes})


@pytest.mark.parametrize(
    "change",
    [
        lambda b: b["jobs"][0].update(unit=UID),
        lambda b: b["jobs"][0].update(customer=UID),
        lambda b: b["jobs"][0].update(card_revision=9),
        lambda b: b["jobs"][0]["readings"][0].update(gauge=UID),
        lambda b: b["jobs"][0]["readings"][0].update(replaces=1),
        lambda b: b["jobs"][0]["readings"][1].update(replaces=None),
        lambda b: b["jobs"][0]["readings"][1].update(replaces=3),
        lambda b: b["jobs"][0]["readings"][1].update(position="at_045"),
        lambda b: b["jobs"][0]["advised"][0].update(expected=0.4),
        lambda b: b["jobs"][0]["advised"][1].update(high=0.08),
        lambda b: b["jobs"][0]["advised"][0].update(at="2027-01-02T08:00:00.000000+00:00"),
        lambda b: b["jobs"][0]["advised"][0].update(places="A3\x1b"),
        lambda b: b["jobs"][0]["photos"][0].update(reading=99),
        lambda b: b["jobs"][0]["events"].reverse(),
        lambda b: _twice(b["jobs"][0]["events"]),
        lambda b: _twice(b["jobs"][0]["events"], what="signed"),
        lambda b: b["jobs"][1]["events"].append({**b["jobs"][0]["events"][-2], "what": "reopened"}),
        lambda b: b["jobs"][0]["events"][-1]["detail"].update(entry="three"),
        lambda b: b["jobs"][0].update(number=" 2407"),
        lambda b: b["jobs"][1].update(number="2407"),
        lambda b: [unit.update(serial=serial) for unit, serial in zip(b["units"], ("K-7", "k7"), strict=True)],
        lambda b: b["units"][0].update(serial="--"),
        lambda b: b["people"][1].update(name="wren hask"),
        lambda b: b["people"][1].update(uid=b["people"][0]["uid"]),
        lambda b: b["people"][1].update(uid=b["people"][1]["uid"] + "\n"),
        lambda b: _twice(b["gauges"], uid=UID),
        lambda b: b["gauges"][0]["checks"][0].update(at="2026-02-30"),
        lambda b: b["gauges"][0]["checks"][0].update(at="2027-02-03"),
        lambda b: b["gauges"][0]["checks"][1].update(value=None),
        lambda b: b["gauges"][0]["checks"][1].update(at="2026-02-03"),
        lambda b: b["gauges"][0].update(kind="luck"),
        lambda b: _twice(b["spec_cards"], family="ORRIN B"),
        lambda b: b["spec_cards"][0]["revisions"].reverse(),
        lambda b: _twice(b["spec_cards"][0]["revisions"][0]["values"]),
        lambda b: b["spec_cards"][0]["revisions"][0]["values"][0].update(low=9.0),
        lambda b: b["parts"][0].update(nominal_mm=None),
        lambda b: b["parts"][0].update(fits="pinion"),
        lambda b: _twice(b["parts"][0]["measures"]),
        lambda b: b["parts"][0]["measures"][0].update(gauge=UID),
        lambda b: b["moves"][0].update(part=UID),
        lambda b: b["moves"][0].update(job=UID),
        lambda b: b["jobs"][0]["readings"][0].update(taken_at="2026-13-02T08:00:00.000000+00:00"),
        lambda b: b["jobs"][0]["readings"][0].update(taken_at="2027-01-02T08:00:00.000000+00:00"),
        lambda b: b["jobs"][0]["readings"][0].update(text="nul\0"),
        lambda b: b["jobs"][0]["readings"][0].update(reason="half \ud800 a sign"),
        lambda b: b["jobs"][0]["events"][0]["detail"].update({"nul\0": "x"}),
        lambda b: b.update(scope="job"),
    ],
)
def test_what_cannot_be_is_refused(good: Path, tmp_path: Path, change: Callable[[dict[str, Any]], None]) -> None:
    refused(altered(good, tmp_path / "sense.zip", change))


# -- photos ------------------------------------------------------------------------------------------------------------


def as_photo(content: bytes, good: Path, tmp_path: Path, **said: Any) -> Path:
    """Return an archive whose first photo is something else, everything made to agree."""
    import hashlib

    files = files_of(good)
    logbook = json.loads(files["logbook.json"])
    photo = logbook["jobs"][0]["photos"][0]
    photo.update({"digest": hashlib.sha256(content).hexdigest(), **said})
    files[form.photo_name(photo["uid"])] = content
    files["logbook.json"] = json.dumps(logbook).encode()
    return pack(tmp_path / "photo.zip", sealed(files))


def drawn(kind: str, size: tuple[int, int] = (64, 48)) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, "white").save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize(
    "content",
    [b"", b"<svg/>", b"\xff\xd8\xff\xe0 no picture", drawn("PNG"), drawn("JPEG")[:-300], b"GIF89a" + b"\0" * 99],
)
def test_a_photo_that_is_none_is_refused(good: Path, tmp_path: Path, content: bytes) -> None:
    assert "not a photo" in refused(as_photo(content, good, tmp_path))


def test_a_photo_of_another_size_or_digest_is_refused(good: Path, tmp_path: Path) -> None:
    assert "another photo" in refused(as_photo(drawn("JPEG", (640, 480)), good, tmp_path))
    assert "another photo" in refused(as_photo(drawn("JPEG"), good, tmp_path, digest="0" * 64))


def test_a_photo_missing_or_too_many_is_refused(files: dict[str, bytes], tmp_path: Path) -> None:
    name = next(name for name in files if name.startswith("photos/"))
    assert name in refused(pack(tmp_path / "less.zip", sealed({k: v for k, v in files.items() if k != name})))
    extra = form.photo_name(UID)
    assert extra in refused(pack(tmp_path / "more.zip", sealed({**files, extra: files[name]})))


def test_a_photo_larger_than_any_kept_is_refused_before_it_is_decoded(
    good: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = drawn("JPEG", (6000, 6000))
    monkeypatch.setattr(Image, "open", lambda *_, **__: pytest.fail("it was opened"))
    assert "photos/0/width" in refused(as_photo(content, good, tmp_path, width=6000, height=6000))
    monkeypatch.undo()
    assert "another photo" in refused(as_photo(content, good, tmp_path))


def test_an_archive_changed_after_it_was_looked_through_is_found(
    good: Path, files: dict[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Archive(good, NOW) as archive:
        uid = archive.logbook["jobs"][0]["photos"][0]["uid"]
        monkeypatch.setattr(read.Archive, "_content", lambda *_: b"another")
        with pytest.raises(InputError, match="changed or damaged"):
            archive.photo(uid)
