"""Writing an archive, or a CSV: aside first, read back, then under its name; whole or not at all."""

from __future__ import annotations

import hashlib
import secrets
import zipfile
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from core.errors import InputError, UserError
from core.exchange import form, strict_json
from core.exchange.read import Archive
from core.language import tr
from core.records.backup import put_in_place

BEGINNING = (1980, 1, 1, 0, 0, 0)
"""The date of every file in an archive: the same content gives the same bytes."""
README = """\
A part of the record of a workshop that rebuilds final drives, or all of it.

manifest.json   what this is: of which job or unit, when and by which version it was made, where the trail of the
                logbook ended, and size and SHA-256 of every other file
logbook.json    customers, units, people (never a PIN), gauges with their checks, spec cards, jobs with all that
                happened, every reading and what was advised, what is known of the photos, the drawer
photos/         the photos, by their stable id
sheets/         a build sheet of each job, made anew for this archive; it is not one that was issued
csv/            readings, jobs, parts, moves and gauges as flat tables: UTF-8, commas, one header line. A text that a
                spreadsheet could take for a formula has an apostrophe before it

Numbers are in the canonical unit of their kind: mm, N·m, N, degrees, L, °C, K, kg, mm²/s. Beside each stands the text
as it was typed, with its unit. Moments are in UTC. Readings of a job are counted from one; "replaces" names the number
of the reading that was corrected. An empty text takes a reading back. Stable ids ("uid") are the same in every logbook
that took this in.

The schema of both JSON files is archive.schema.json (JSON Schema, draft 2020-12), which comes with the program.
"""


@dataclass(frozen=True)
class Contents:
    """What goes into an archive.

    `photos` are the uids with how to get each photo's bytes, `sheets` and `tables` the files by name; they are made
    one at a time, while the archive is written.
    """

    logbook: Mapping[str, Any]
    about: str
    shop: str
    trail: tuple[int, str]
    made_at: datetime
    photos: Iterable[str] = ()
    photo: Callable[[str], bytes] = bytes.fromhex
    sheets: Mapping[str, Callable[[], bytes]] = field(default_factory=dict)
    tables: Mapping[str, str] = field(default_factory=dict)


def write_archive(path: Path, contents: Contents) -> Path:
    """Write an archive, and read it back before it gets its name.

    Raises
    ------
    UserError
        Something is there already, it cannot be written, or it does not read back whole; nothing is left behind.
    """

    def write(partial: Path) -> None:
        _write(partial, contents)
        try:
            with Archive(partial, contents.made_at):
                pass
        except InputError as error:
            raise UserError(
                tr("The archive did not read back whole and was not kept: {why}", why=error.message),
                tr("Check the disk and the logbook ('pinionbook verify'), then export again."),
            ) from error

    return put(path, write)


def write_text(path: Path, text: str) -> Path:
    """Write a text, lines ending as they do in it; raises as `write_archive` does."""
    return put(path, lambda partial: _write_bytes(partial, text.encode("utf-8")))


def put(path: Path, write: Callable[[Path], None]) -> Path:
    """Have a file written aside and give it its name; what has that name already stays.

    Raises
    ------
    UserError
        Something is there already, or it cannot be written there; nothing is left behind.
    """
    partial = path.with_name(f".export-{secrets.token_hex(6)}.partial")
    try:
        if path.exists():
            raise FileExistsError(path)
        write(partial)
        put_in_place(partial, path)
    except FileExistsError:
        raise UserError(
            tr("There is a file {path} already; it was left as it is.", path=path), tr("Give another name.")
        ) from None
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise UserError(
            tr("{path} could not be written: {why}.", path=path, why=why),
            tr("Choose a folder that can be written to and has room."),
        ) from error
    finally:
        with suppress(OSError, ValueError):
            partial.unlink(missing_ok=True)
    return path


def _write_bytes(path: Path, content: bytes) -> None:
    with open(path, "xb") as file:
        file.write(content)


def _write(path: Path, contents: Contents) -> None:
    files: list[dict[str, Any]] = []
    with open(path, "xb") as file, zipfile.ZipFile(file, "w") as archive:

        def add(name: str, content: bytes) -> None:
            files.append({"name": name, "size": len(content), "sha256": hashlib.sha256(content).hexdigest()})
            _add(archive, name, content)

        add(form.README, README.encode("utf-8"))
        add(form.LOGBOOK, strict_json.written(contents.logbook))
        for name, text in contents.tables.items():
            add(name, text.encode("utf-8"))
        for name, sheet in contents.sheets.items():
            add(name, sheet())
        for uid in contents.photos:
            add(form.photo_name(uid), contents.photo(uid))
        _add(archive, form.MANIFEST, strict_json.written(_manifest(contents, files)))


def _add(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    info = zipfile.ZipInfo(name, BEGINNING)
    info.external_attr = 0o644 << 16
    # Photos and sheets are packed already.
    info.compress_type = zipfile.ZIP_DEFLATED if name.endswith((".json", ".csv", ".txt")) else zipfile.ZIP_STORED
    archive.writestr(info, content)


def _manifest(contents: Contents, files: list[dict[str, Any]]) -> dict[str, Any]:
    entries, chain = contents.trail
    return {
        "format": form.FORMAT,
        "version": form.VERSION,
        "scope": contents.logbook["scope"],
        "about": contents.about,
        "made_at": contents.made_at.astimezone(UTC).isoformat(timespec="microseconds"),
        "made_by": form.program_version(),
        "shop": contents.shop,
        "trail": {"entries": entries, "chain": chain},
        "files": sorted(files, key=lambda file: str(file["name"])),
    }
