"""Opening an archive nobody vouches for: files are read as streams against limits, and nothing is unpacked to disk.

What the archive says about itself (sizes, ratios, how many files) is believed nowhere; its checksums are those of its
own manifest, and every file in it must be named there, and the other way round.
"""

from __future__ import annotations

import hashlib
import struct
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from datetime import datetime
from io import BytesIO
from pathlib import Path
from types import TracebackType
from typing import Any, BinaryIO, Self

from PIL import Image

from core.errors import InputError
from core.exchange import form, strict_json
from core.exchange.form import unusable
from core.exchange.older import brought_up
from core.exchange.schema import need_shape
from core.exchange.sense import need_sense
from core.language import tr

CHUNK = 256 * 1024
_END = b"PK\x05\x06"
_END_BYTES = 22
_LOCATOR, _BIG_END = b"PK\x06\x07", b"PK\x06\x06"
_LOCATOR_BYTES = 20
_BIG_END_BYTES = 56 + _LOCATOR_BYTES
_ENCRYPTED = 0x1 | 0x40 | 0x2000
_LINK = 0o120000
_KINDS = 0o170000
_KEPT_IN_MEMORY = (form.MANIFEST, form.LOGBOOK)


class Archive:
    """An archive that was looked through from end to end; its photos are read one at a time, and checked again."""

    def __init__(self, path: Path, now: datetime) -> None:
        self._file = _file_at(path)
        try:
            self._zip = _zip_in(self._file)
            self._infos = _directory(self._zip)
            self._total = 0
            self.manifest: Mapping[str, Any] = self._json(form.MANIFEST, "manifest")
            self._named = self._files()
            self.logbook: Mapping[str, Any] = self._json(form.LOGBOOK, "logbook")
            if self.logbook["scope"] != self.manifest["scope"]:
                raise unusable(tr("The manifest of the archive tells of something else than is in it."))
            need_sense(self.logbook, now)
            self._check_photos()
            self._check_rest()
        except BaseException:
            self._file.close()
            raise

    def photo(self, uid: str) -> bytes:
        """Return the bytes of a photo."""
        self._total = 0
        return self._checked(form.photo_name(uid))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

    # -- its files -------------------------------------------------------------------------------------------------

    def _json(self, name: str, shape: str) -> Mapping[str, Any]:
        value = strict_json.read(self._content(name) if name == form.MANIFEST else self._checked(name), name)
        if name == form.MANIFEST:
            _need_version(value)
        else:
            brought_up(value, self.manifest["version"])
        need_shape(value, shape, name)
        found: Mapping[str, Any] = value
        return found

    def _files(self) -> dict[str, Mapping[str, Any]]:
        """Return what the manifest says of every other file; all are there, and no other is."""
        named = {file["name"]: file for file in self.manifest["files"]}
        if len(named) < len(self.manifest["files"]) or form.MANIFEST in named or form.LOGBOOK not in named:
            raise unusable(tr("The manifest of the archive does not name its files once each."))
        for name in named:
            if name not in self._infos:
                raise unusable(tr("{name} is missing from the archive.", name=name[:80]))
        for name in self._infos:
            if name not in named and name != form.MANIFEST:
                raise unusable(tr("{name} is in the archive, but not in its manifest.", name=name))
        return named

    def _check_photos(self) -> None:
        shown = {form.photo_name(photo["uid"]): photo for job in self.logbook["jobs"] for photo in job["photos"]}
        stored = {name for name in self._infos if name.startswith("photos/")}
        if stored != set(shown):
            odd = min(stored ^ set(shown))
            raise unusable(tr("{name} is missing from the archive, or no job shows it.", name=odd))
        for name, photo in shown.items():
            need_picture(self._checked(name), photo, name)

    def _check_rest(self) -> None:
        for name in self._infos:
            if name not in _KEPT_IN_MEMORY and not name.startswith("photos/"):
                seal, size = hashlib.sha256(), 0
                for part in self._parts(name):
                    seal.update(part)
                    size += len(part)
                self._need_same(name, size, seal.hexdigest())

    def _checked(self, name: str) -> bytes:
        content = self._content(name)
        self._need_same(name, len(content), hashlib.sha256(content).hexdigest())
        return content

    def _need_same(self, name: str, size: int, digest: str) -> None:
        said = self._named[name]
        if (said["size"], said["sha256"]) != (size, digest):
            raise unusable(tr("{name} in the archive was changed or damaged on the way.", name=name))

    def _content(self, name: str) -> bytes:
        if name not in self._infos:
            raise unusable(tr("{name} is missing from the archive.", name=name))
        return b"".join(self._parts(name))

    def _parts(self, name: str) -> Iterator[bytes]:
        """Go through a file of the archive part by part, within every limit."""
        info, most, size = self._infos[name], form.largest(name) or 0, 0
        try:
            with self._zip.open(info) as stream:
                while part := stream.read(CHUNK):
                    size += len(part)
                    self._total += len(part)
                    grown = size > form.UNSUSPICIOUS and size > form.LARGEST_RATIO * max(info.compress_size, 1)
                    if size > most or grown or self._total > form.LARGEST_ARCHIVE:
                        raise unusable(tr("{name} in the archive unpacks to more than it may.", name=name))
                    yield part
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError) as error:
            raise unusable(tr("{name} in the archive cannot be unpacked.", name=name)) from error


def need_picture(content: bytes, photo: Mapping[str, Any], name: str) -> None:
    """Refuse a photo that is no picture, or another than was said."""
    try:
        with Image.open(BytesIO(content), formats=["JPEG"]) as image:
            is_same = image.size == (photo["width"], photo["height"])
            if is_same:
                # Decoded small: every byte is looked at, at a fraction of the time and memory.
                image.draft("L", (1, 1))
                image.load()
    except Exception as error:  # what a decoder raises over a damaged file is anything at all
        raise unusable(tr("{name} in the archive is not a photo that can be opened.", name=name)) from error
    if not is_same or hashlib.sha256(content).hexdigest() != photo["digest"]:
        raise unusable(tr("{name} in the archive is another photo than its job shows.", name=name))


def _need_version(manifest: Any) -> None:
    if not isinstance(manifest, dict) or manifest.get("format") != form.FORMAT:
        raise unusable(tr("It is not an archive of this program."), tr("Choose another file."))
    version = manifest.get("version")
    if isinstance(version, int) and version > form.VERSION:
        raise unusable(
            tr("The archive was made by a newer version of this program."),
            tr("Install the newer version; nothing was written."),
        )


def _file_at(path: Path) -> BinaryIO:
    try:
        if not path.is_file():
            raise InputError(tr("There is no file {path}.", path=path), tr("Check the path of the archive."))
        return path.open("rb")
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(
            tr("{path} cannot be read: {why}.", path=path, why=why), tr("Check the path of the archive.")
        ) from error


def _zip_in(file: BinaryIO) -> zipfile.ZipFile:
    try:
        _need_small_directory(file)
        return zipfile.ZipFile(file)
    except InputError:
        raise
    except Exception as error:  # what a damaged list of files raises is anything at all
        raise _no_archive() from error


def _no_archive() -> InputError:
    return unusable(tr("It is not an archive, or it was cut short."), tr("Copy it again, or choose another file."))


def _need_small_directory(file: BinaryIO) -> None:
    """Look at the very end of the file, before its list of files is read into memory.

    An archive has no comment, so its end is where it must be, and nothing else can be taken for it.
    """
    size = file.seek(0, 2)
    file.seek(max(size - _END_BYTES - _BIG_END_BYTES, 0))
    tail = file.read()
    end = tail[-_END_BYTES:]
    if len(end) < _END_BYTES or not end.startswith(_END) or end[-2:] != b"\0\0":
        raise _no_archive()
    (length,) = struct.unpack_from("<L", end, 12)
    if tail[-_END_BYTES - _LOCATOR_BYTES :].startswith(_LOCATOR):
        # The end of a large archive is written twice, the first time with eight bytes for each number.
        if not (len(tail) == _END_BYTES + _BIG_END_BYTES and tail.startswith(_BIG_END)):
            raise _no_archive()
        (length,) = struct.unpack_from("<Q", tail, 40)
    if length > form.LARGEST_DIRECTORY:
        raise unusable(tr("There are more files in the archive than can be."))


def _directory(archive: zipfile.ZipFile) -> dict[str, zipfile.ZipInfo]:
    """Return the files of an archive by name, each looked at from outside."""
    infos = archive.infolist()
    if len(infos) > form.MOST_FILES:
        raise unusable(tr("There are more files in the archive than can be."))
    found: dict[str, zipfile.ZipInfo] = {}
    folded: set[str] = set()
    for info in infos:
        name = info.orig_filename
        if form.largest(name) is None or name != info.filename or (info.external_attr >> 16) & _KINDS == _LINK:
            raise unusable(tr("{name!r} does not belong in an archive.", name=name[:80]))
        if name.casefold() in folded:
            raise unusable(tr("{name} is in the archive twice.", name=name))
        if info.flag_bits & _ENCRYPTED:
            raise unusable(tr("The archive is encrypted."), tr("Ask for it without a password."))
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise unusable(tr("{name} in the archive is packed in a way that is not opened here.", name=name))
        folded.add(name.casefold())
        found[name] = info
    return found
