"""Where the logbook is: a file, or a database on a server that several benches share."""

from __future__ import annotations

import os
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from core.errors import LogbookError
from core.language import tr

VARIABLE = "PINIONBOOK_LOGBOOK"
SERVER_DRIVER = "postgresql+psycopg"

Place = Path | URL
"""The absolute path of a file, or the address of a database."""


def default_location() -> Place:
    """Return the logbook named by the environment variable PINIONBOOK_LOGBOOK, else the one in the user's data folder.

    Raises
    ------
    LogbookError
        The variable names something that is neither a file nor a database.
    """
    named = os.environ.get(VARIABLE, "").strip()
    return place_of(named) if named else default_file()


def default_file() -> Path:
    """Return the file a logbook is kept in where nothing else was said."""
    return user_data_path("pinionbook", appauthor=False) / "logbook.db"


def place_of(location: str | Path | URL) -> Place:
    """Return where a logbook is, given as a path, a ``sqlite:///`` URL or a ``postgresql://`` URL.

    Raises
    ------
    LogbookError
        It is the URL of something else, or no path at all.
    """
    if isinstance(location, str) and "://" in location:
        location = _in_url(location)
    return location if isinstance(location, URL) else path_of(location)


def path_of(location: str | Path) -> Path:
    """Return the absolute path of a file.

    Raises
    ------
    LogbookError
        No file can be called so.
    """
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


def in_words(place: Place) -> str:
    """Return a place as it may be shown: the password of a server is left out."""
    return place.render_as_string(hide_password=True) if isinstance(place, URL) else str(place)


def _in_url(url: str) -> str | URL:
    try:
        parts = make_url(url)
    except (ArgumentError, ValueError):
        parts = None
    backend = parts.get_backend_name() if parts is not None else ""
    if parts is None or backend not in ("sqlite", "postgresql"):
        raise LogbookError(
            tr("A logbook is kept in a file or on a PostgreSQL server, not elsewhere."),
            tr(
                "Give a path such as {path}, or an address such as {address}.",
                path="shop/logbook.db",
                address="postgresql://bench@server/pinionbook",
            ),
        )
    if not parts.database:
        raise LogbookError(
            tr("The address of the logbook names no file and no database."), tr("Add its name at the end.")
        )
    return parts.database if backend == "sqlite" else parts.set(drivername=SERVER_DRIVER)
