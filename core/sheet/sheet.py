"""The build sheet: one page for the customer, or that page and the full record for the shop."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from reportlab.platypus import Flowable, PageBreak

from core.errors import InputError, UserError
from core.facts import Advised, JobEvent, Shop
from core.language import tr
from core.photos import PrintedPhoto
from core.sheet.customer import customer_page
from core.sheet.document import Cover, as_pdf, frame_size
from core.sheet.flow import Scaled
from core.sheet.parts import Parts
from core.sheet.record import record
from core.sheet.seal import MARK, Seal, seal
from core.sheet.style import PAGES
from core.sheet.values import day
from core.stages.state import JobState

CUSTOMER, SHOP = "customer", "shop"
LAYOUTS = ((1.0, 176.0), (1.0, 150.0), (0.94, 160.0), (0.88, 160.0), (0.82, 150.0), (0.76, 140.0))
"""Scale and height of the figures [pt] tried in turn; smaller still the customer's page could not be read, and it
runs on over a second page instead."""

ROUNDING = 1.0
"""Kept free at the foot of the page [pt], so that adding up heights in another order cannot make it overflow."""


def write_sheet(
    path: str | os.PathLike[str],
    state: JobState,
    shop: Shop,
    *,
    copy: str = SHOP,
    page: str = "A4",
    events: Sequence[JobEvent] = (),
    made_at: datetime,
) -> str:
    """Write the build sheet of a job as a PDF, at once; `sheet_bytes` and `put_sheet` do it in two steps.

    Returns
    -------
    str
        The SHA-256 of the file's bytes, in hexadecimal.
    """
    content = sheet_bytes(state, shop, copy=copy, page=page, events=events, made_at=made_at)
    put_sheet(Path(path), content)
    return sha256(content).hexdigest()


def sheet_bytes(
    state: JobState,
    shop: Shop,
    *,
    copy: str,
    page: str,
    events: Sequence[JobEvent],
    made_at: datetime,
    sealed: Seal | None = None,
    photos: Sequence[PrintedPhoto] = (),
    advised: Sequence[Advised] = (),
) -> bytes:
    """Return the build sheet of a job as the bytes of a PDF.

    Parameters
    ----------
    state : JobState
        The judged job.
    shop : Shop
        Name and address for the letterhead, and the units to write in.
    copy : str
        ``customer`` for the customer's page alone, ``shop`` for that page and the full record.
    page : str
        ``A4`` or ``Letter``.
    events : sequence of JobEvent
        What happened to the job, oldest first.
    made_at : datetime
        The moment of printing, written on the sheet.
    sealed : Seal, optional
        What the sheet is known by; made from the rest where there is none.
    photos : sequence of PrintedPhoto
        The photos of the job, for the shop's copy.
    advised : sequence of Advised
        What was advised for its trials, for the shop's copy.

    Raises
    ------
    InputError
        There is no such copy or page.
    """
    if copy not in (CUSTOMER, SHOP):
        raise InputError(tr("There is no copy called {copy}.", copy=copy), tr("Choose customer or shop."))
    if page not in PAGES:
        raise InputError(tr("There is no page called {page}.", page=page), tr("Choose A4 or Letter."))
    width, height = frame_size(page)
    known_by = sealed or seal(
        state,
        shop,
        events,
        copy=copy,
        page=page,
        made_at=made_at,
        photos=[p.photo for p in photos],
        advised=advised,
    )

    def parts(scale: float = 1.0) -> Parts:
        return Parts(state, shop, tuple(events), width / scale, made_at, known_by, photos, advised)

    story = _on_one_page(parts, width, height)
    if copy == SHOP:
        story += [PageBreak(), *record(parts())]
    return as_pdf(story, _cover(parts(), copy), page)


def _on_one_page(parts: Callable[[float], Parts], width: float, height: float) -> list[Flowable]:
    """Return the customer's page so that it fits one page: smaller figures first, then smaller type."""
    for scale, figure_height in LAYOUTS:
        story = customer_page(parts(scale), figure_height)
        if _height(story, width / scale) * scale < height - ROUNDING:
            return story if scale == 1.0 else [Scaled(story, width, height, scale)]
    return customer_page(parts(1.0), LAYOUTS[0][1])


def _height(story: Sequence[Flowable], width: float) -> float:
    """Return how tall a story runs in one column [pt]; gaps between neighbours overlap, as on the page."""
    total = after = 0.0
    for flowable in story:
        total += max(flowable.getSpaceBefore(), after) if total else 0.0
        total += flowable.wrap(width, 1e6)[1]
        after = flowable.getSpaceAfter()
    return total


def _cover(parts: Parts, copy: str) -> Cover:
    """Return the document's own words about itself, as clean single lines."""
    job, line = parts.state.context.job, parts.type.line
    title = tr("Build sheet, job {number}, unit {serial}", number=job.number, serial=job.serial)
    whose = tr("customer's copy") if copy == CUSTOMER else tr("shop's copy")
    foot = tr(
        "Job {number} · unit {serial} · revision {revision} · {copy} · printed {day}",
        number=job.number,
        serial=job.serial,
        revision=job.revision,
        copy=whose,
        day=day(parts.made_at),
    )
    return Cover(line(title), line(parts.shop.name), line(foot), f"{MARK}:{parts.seal.fingerprint}")


def put_sheet(path: Path, content: bytes) -> None:
    """Put the bytes beside their place first, then in it: a sheet is never half there.

    Raises
    ------
    UserError
        The file cannot be written there.
    """
    # A short name of its own: a long one plus a suffix could be more than the folder takes.
    partial = path.with_name(f".sheet-{secrets.token_hex(6)}.partial")
    try:
        with open(partial, "xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(partial, path)
    except (OSError, ValueError) as error:
        with suppress(OSError, ValueError):
            partial.unlink()
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise UserError(
            tr("The sheet could not be written to {path}: {why}.", path=path, why=why),
            tr("Choose a folder that can be written to and has room."),
        ) from error
