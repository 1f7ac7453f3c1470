"""Where the logbook is."""

from __future__ import annotations

import os
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy import make_url
from sqlalchemy.exc import ArgumentError

from core.errors import LogbookError
from core.language import tr

VARIABLE = "PINIONBOOK_LOGBOOK"


def default_location() -> Path:
    """Return the logbook named by the environment variable PINIONBOOK_LOGBOOK, else the one in the user's data folder.

    Raises
    ------
    LogbookError
        The variable names something that is no file.
    """
    named = os.environ.get(VARIABLE, "").strip()
    return path_of(named) if named else user_data_path("pinionbook", appauthor=False) / "logbook.db"


def path_of(location: str | Path) -> Path:
    """Return the absolute path of a logbook given as a path or as a ``sqlite:///`` URL.

    Raises
    ------
    LogbookError
        It is the URL of something else, or no path at all.
    """
    if isinstance(location, str) and "://" in location:
        location = _path_in_url(location)
    try:
        path = Path(location).expanduser()
        # NUL and half surrogate pairs can be typed or pasted, but no file can be called so.
        os.fsencode(path)
        if "\0" in str(path):
            raise ValueError("NUL in a path")
        return path.absolute()
    except (ValueError, RuntimeError):
        raise LogbookError(
            tr("{name!r} cannot be the name of a file.", name=str(location)[:80]), tr("Check how it is written.")
        ) from None


def _path_in_url(url: str) -> str:
    try:
        parts = make_url(url)
    except (ArgumentError, ValueError):
        parts = None
    if parts is None or parts.get_backend_name() != "sqlite":
        raise LogbookError(
            tr("This version keeps the logbook in a file, not on a server."),
            tr("Give the path of a file, such as {path}.", path="shop/logbook.db"),
        )
    if not parts.database:
        raise LogbookError(tr("The address of the logbook names no file."), tr("Give the path of a file."))
    return parts.database
