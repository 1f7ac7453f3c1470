"""What the columns of every table are made of, so that a file and a server keep the same in them."""

from __future__ import annotations

from sqlalchemy import REAL, BigInteger, CheckConstraint, Column, Double, ForeignKey, Integer, MetaData, Text

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)

WHOLE = BigInteger().with_variant(Integer(), "sqlite")
"""Eight bytes on a server too; SQLite's INTEGER is as wide."""


def row_id() -> Column[int]:
    """Return the row's own number in this logbook."""
    return Column("id", WHOLE, primary_key=True)


def uid() -> Column[str]:
    """Return what a row is called in every logbook it was carried to; its id is this logbook's own."""
    return Column("uid", Text, nullable=False, unique=True)


def version() -> Column[int]:
    """Return the count of a row's changes, so that nobody overwrites what he has not seen."""
    return Column("version", WHOLE, nullable=False)


def text(name: str) -> Column[str]:
    """Return a text that is always there, be it empty."""
    return Column(name, Text, nullable=False)


def key(name: str, target: str, *, is_needed: bool = True) -> Column[int]:
    """Return the id of a row of another table."""
    return Column(name, WHOLE, ForeignKey(target), nullable=not is_needed)


def real(name: str, *, is_needed: bool = False) -> Column[float]:
    """Return a measured number."""
    # A strict SQLite table knows REAL, not DOUBLE PRECISION; both are the same eight bytes.
    return Column(name, Double().with_variant(REAL(), "sqlite"), nullable=not is_needed)


def whole(name: str, *, is_needed: bool = True) -> Column[int]:
    """Return a whole number, or a flag that is 0 or 1."""
    return Column(name, WHOLE, nullable=not is_needed)


def check(name: str, rule: str) -> CheckConstraint:
    """Return a rule every row must keep."""
    return CheckConstraint(rule, name=name)


def within(column: str) -> str:
    """Return the rule of a number that is a measurement: nothing in a workshop is larger, and infinity is none."""
    return f"({column} IS NULL OR {column} BETWEEN -1e9 AND 1e9)"
