"""What the drawer takes in and gives back: facts of rows, and what may be typed of a part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, Select, select

from core.errors import InputError
from core.facts import FITS_WORDS, Part, PartMove
from core.language import tr
from core.records import tables
from core.records.texts import from_time_text, line, number, whole

THINNEST_MM = 0.001
THICKEST_MM = 100.0
MOST_PIECES = 9999


def every_part() -> Select[Any]:
    """Return the query for all parts."""
    part = tables.part
    # A row of a result has a method called count.
    return select(part, part.c.count.label("pieces")).order_by(part.c.id)


def named(kind: str, name: str) -> str:
    """Return the name of a part as typed."""
    # A ring is told by its thickness and place; a seal has nothing but its name.
    return line(name, tr("The name of the piece"), is_needed=kind in ("seal", "bearing"))


def nominal(kind: str, nominal_mm: float | None) -> float | None:
    """Return the stamped thickness of a part [mm], None where its kind has none."""
    if nominal_mm is not None:
        return number(nominal_mm, tr("The thickness in mm"), THINNEST_MM, THICKEST_MM)
    if kind in ("ring", "shim", "spacer"):
        raise InputError(tr("The nominal thickness is missing."), tr("Type it as stamped."))
    return None


def fits_at(kind: str, fits: str) -> str:
    """Return where a part fits; only of a shim it is said."""
    if fits not in FITS_WORDS:
        raise InputError(tr("{place!r} is nowhere a shim fits.", place=fits[:40]), tr("Choose sides or pinion."))
    if fits and kind != "shim":
        raise InputError(tr("Only of a shim it is said where it fits."), tr("Leave it unsaid for any other piece."))
    return fits


def in_the_form(part: Part) -> tuple[str, str, int, str]:
    """Return what of a part stands in the form that corrects it."""
    return part.name, part.place, part.reorder_level, part.fits


def level(reorder_level: int) -> int:
    """Return how many free pieces there should be at least."""
    return whole(reorder_level, tr("The reorder level"), 0, MOST_PIECES)


def reason_of(reason: str, remedy: str) -> str:
    """Return a reason, which there must be."""
    if not reason.strip():
        raise InputError(tr("The reason is missing."), remedy)
    return reason


def part_of(row: Row[Any], measured: Sequence[Row[Any]]) -> Part:
    """Return a part with the places it was measured at last."""
    return Part(
        id=row.id,
        kind=row.kind,
        name=row.name,
        place=row.place,
        nominal_mm=row.nominal_mm,
        count=row.pieces,
        reorder_level=row.reorder_level,
        measured_mm=tuple(place.mm for place in measured),
        is_retired=bool(row.is_retired),
        version=row.version,
        uid=row.uid,
        gauge_id=measured[0].gauge_id if measured else None,
        fits=row.fits,
    )


def move_of(row: Row[Any]) -> PartMove:
    """Return what happened to pieces of a part."""
    return PartMove(
        id=row.id,
        part_id=row.part_id,
        what=row.what,
        pieces=row.pieces,
        at=from_time_text(row.at),
        person=row.person,
        job_id=row.job_id,
        stage=row.stage,
        entry=row.entry,
        trial=row.trial,
        reason=row.reason,
        job_number=row.number or "",
    )
