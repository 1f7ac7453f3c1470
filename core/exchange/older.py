"""Archives of older versions, told as the newest one would: what could not be said then is filled in."""

from __future__ import annotations

from typing import Any


def brought_up(logbook: Any, version: int) -> None:
    """Fill in what an older version of the format did not tell.

    Parameters
    ----------
    logbook : any
        What was read from ``logbook.json``, of no shape yet; it is judged by the newest schema afterwards.
    version : int
        The version its manifest says.
    """
    if version < 2:
        # Until then nobody kept what was advised.
        for job in _dicts(logbook, "jobs"):
            job.setdefault("advised", [])
    if version < 3:
        # Until then it was not said of a shim where it fits.
        for part in _dicts(logbook, "parts"):
            part.setdefault("fits", "")


def _dicts(told: Any, name: str) -> list[dict[str, Any]]:
    rows = told.get(name) if isinstance(told, dict) else None
    return [row for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []
