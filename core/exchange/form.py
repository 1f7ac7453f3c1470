"""What an archive is called, what lies in it under which name, and how large it may be."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from core.errors import InputError
from core.language import tr

FORMAT = "pinionbook archive"
VERSION = 3
"""Raised when an older program could not read what is written now; `core.exchange.older` reads what came before."""

MANIFEST = "manifest.json"
LOGBOOK = "logbook.json"
README = "README.txt"

JOB, UNIT, EVERYTHING = "job", "unit", "everything"

MEGABYTE = 1_000_000
MOST_FILES = 60_000
LARGEST_DIRECTORY = 16 * MEGABYTE
"""Largest list of files at the end of an archive [bytes]."""
LARGEST_ARCHIVE = 20_000 * MEGABYTE
"""Most that all files of an archive may come to, unpacked [bytes]."""
LARGEST_RATIO = 200
"""Most that a file may grow when it is unpacked; what people write grows by thirty at most."""
UNSUSPICIOUS = MEGABYTE
"""Below this size [bytes] it does not matter how much a file grows."""

UID = "[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}"
"""What a stable id looks like."""

LARGEST = {
    re.compile(re.escape(MANIFEST)): 16 * MEGABYTE,
    re.compile(re.escape(LOGBOOK)): 256 * MEGABYTE,
    re.compile(re.escape(README)): MEGABYTE,
    re.compile(rf"photos/{UID}\.jpg"): 20 * MEGABYTE,
    re.compile(r"sheets/[0-9A-Za-z][0-9A-Za-z_. -]{0,120}\.pdf"): 100 * MEGABYTE,
    re.compile(r"csv/[a-z]{1,40}\.csv"): 256 * MEGABYTE,
}
"""Every name a file in an archive may have, and the most bytes it may hold; all others do not belong in it."""


def largest(name: str) -> int | None:
    """Return how many bytes the file of this name may hold, or None where no file in an archive is called so."""
    return next((most for pattern, most in LARGEST.items() if pattern.fullmatch(name)), None)


def photo_name(uid: str) -> str:
    """Return the name of a photo in an archive."""
    return f"photos/{uid}.jpg"


def sheet_names(jobs: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """Return the name of each job's sheet by the job's uid: its number where it can be, told apart where it must be."""
    names: dict[str, str] = {}
    taken: set[str] = set()
    for job in jobs:
        safe = re.sub(r"[^0-9A-Za-z_-]+", " ", job["number"]).strip(" _-")[:40]
        if not safe or safe.casefold() in taken:
            safe = f"{safe} {job['uid']}".strip()
        taken.add(safe.casefold())
        names[job["uid"]] = f"sheets/{safe}.pdf"
    return names


def program_version() -> str:
    """Return the version of the installed program, "" where it runs without having been installed."""
    try:
        return version("pinionbook")
    except PackageNotFoundError:
        return ""


def unusable(message: str, remedy: str = "") -> InputError:
    """Return the error for an archive that cannot be used."""
    return InputError(message, remedy or tr("Ask for the archive again; nothing was written."))
