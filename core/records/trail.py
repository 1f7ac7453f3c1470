"""The trail: every change of every row, chained by hash, so that whatever is altered later can be named.

A row is written down as *content*: JSON with its columns in order of name, numbers as Python writes them, pictures and
what a PIN is checked against as their SHA-256. Each entry of the trail carries a *chain*, the SHA-256 of the chain
before it and of all the entry says. Whoever changes a row, takes one away or slips one in leaves a row that does not
agree with the trail; whoever changes the trail breaks the chain from there on. The chain's head is printed on every
build sheet, so a trail that was cut short, or forged whole, does not agree with the paper that left the shop.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Column, Float, Table

BEGINNING = "pinionbook trail 1"
"""What the first entry is chained to."""

CHAINED = ("id", "at", "bench", "person", "doing", "job_id", "what", "in_table", "row_id", "content")


def canonical(value: Any) -> str:
    """Return the one way a value is written as JSON here."""
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def digest(data: bytes | str) -> str:
    """Return the SHA-256 of some bytes, or of a text in UTF-8, in hexadecimal digits."""
    # Half a surrogate pair has no UTF-8; only a damaged file holds one, and its digest must still be told apart.
    return hashlib.sha256(data if isinstance(data, bytes) else data.encode("utf-8", "surrogatepass")).hexdigest()


def content_of(table: Table, row: Mapping[str, Any]) -> str:
    """Return a row of a table as the trail writes it down.

    Parameters
    ----------
    table : Table
        The table, which says what is written as its digest only.
    row : mapping
        Every column by name.
    """
    return canonical({column.name: _plain(column, row[column.name]) for column in table.columns})


def _plain(column: Column[Any], value: Any) -> Any:
    if value is None:
        return None
    if column.info.get("is_digested"):
        return digest(value if isinstance(value, str) else bytes(value))
    # What was just written comes back as it was handed over, later as it is stored: 1 and 1.0 are one number.
    return float(value) if isinstance(column.type, Float) else value


def chained(before: str, entry: Mapping[str, Any]) -> str:
    """Return the chain of an entry that follows on `before`."""
    return digest(before + canonical([entry[name] for name in CHAINED]))
