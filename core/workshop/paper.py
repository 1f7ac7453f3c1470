"""Paper: the build sheet, and whether a sheet is genuine."""

from __future__ import annotations

import re
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from core.errors import InputError, UserError
from core.facts import JobEvent
from core.language import tr
from core.records import Work
from core.workshop.base import Base
from core.workshop.photos import printed_photos

LARGEST_SHEET = 200_000_000
"""No build sheet has more bytes."""


@dataclass(frozen=True)
class SheetAnswer:
    """Whether a sheet is one this logbook issued, unchanged, in words."""

    is_genuine: bool
    sentence: str
    job_id: int | None = None


class Paper(Base):
    """What can be handed out, and what comes back on paper."""

    def write_sheet(self, job_id: int, path: Path, *, copy: str = "shop", page: str = "A4", person: str = "") -> Path:
        """Write the build sheet as a PDF and note that it was issued; neither happens without the other."""
        # The typesetter takes a third of a second to load; a window or a reading should not wait for it.
        from core.sheet import put_sheet, seal, sheet_bytes

        made_at = self._clock()
        with self._logbook.look() as work:
            state, shop, events, head = self._state(work, job_id), work.shop(), work.events(job_id), work.head()
            # The customer's copy has neither photos nor what was advised.
            photos = printed_photos(work, job_id) if copy == "shop" else []
            advised = work.advised_of_job(job_id) if copy == "shop" else []
        known = [printed.photo for printed in photos]
        sealed = seal(
            state, shop, events, copy=copy, page=page, made_at=made_at, head=head, photos=known, advised=advised
        )
        content = sheet_bytes(
            state,
            shop,
            events=events,
            copy=copy,
            page=page,
            made_at=made_at,
            sealed=sealed,
            photos=photos,
            advised=advised,
        )
        with self._working("write_sheet", person) as work:
            digest = sha256(content).hexdigest()
            known_by = {"file": digest, "entry": str(sealed.entry), "chain": sealed.chain}
            work.note_sheet(job_id, person, made_at, sealed.fingerprint, copy, **known_by)
            put_sheet(path, content)
            work.commit()
        return path

    def check_sheet(self, path: Path) -> SheetAnswer:
        """Tell whether a file is a build sheet as this logbook issued it.

        Raises
        ------
        UserError
            The file cannot be read.
        """
        from core.sheet import fingerprint_in

        content = _read(path)
        with self._logbook.look() as work:
            exact = work.sheets_known_by(sha256(content).hexdigest())
            if exact:
                return _answer(
                    work, exact[-1], tr("It is {sheet}; nothing in it was changed.", sheet=_named(work, exact[-1]))
                )
            carried = fingerprint_in(content)
            known = work.sheets_known_by(carried) if carried else []
            if known:
                sheet = _named(work, known[-1])
                told = tr("It carries the fingerprint of {sheet}, but the file was changed after that.", sheet=sheet)
                return SheetAnswer(False, told, known[-1].job_id)
        return SheetAnswer(False, tr("This logbook never issued it."))

    def check_fingerprint(self, text: str) -> SheetAnswer:
        """Tell whether a fingerprint, as read from paper or out of its code, is one this logbook issued.

        Raises
        ------
        InputError
            It is no fingerprint.
        """
        digits = "".join(text.lower().rpartition(":")[2].split())
        if not re.fullmatch("[0-9a-f]{64}", digits):
            raise InputError(
                tr("A fingerprint is 64 digits and letters from a to f; this has {count} signs.", count=len(digits)),
                tr("Type all of it as it stands under the signature; spaces do not matter."),
            )
        with self._logbook.look() as work:
            known = work.sheets_known_by(digits)
            if not known:
                return SheetAnswer(False, tr("This logbook never issued it."))
            sheet = _named(work, known[-1])
            return _answer(
                work, known[-1], tr("It is the fingerprint of {sheet}. Compare what is printed.", sheet=sheet)
            )


def _read(path: Path) -> bytes:
    try:
        if path.stat().st_size > LARGEST_SHEET:
            raise InputError(tr("{path} is too large for a build sheet.", path=path), tr("Choose another file."))
        return path.read_bytes()
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise UserError(
            tr("{path} cannot be read: {why}.", path=path, why=why), tr("Check the path of the file.")
        ) from error


def _named(work: Work, issued: JobEvent) -> str:
    whose = tr("customer's copy") if issued.detail.get("copy") == "customer" else tr("shop's copy")
    return tr(
        "the build sheet of job {number}, revision {revision}, {copy}, issued on {day}",
        number=work.job(issued.job_id).number,
        revision=issued.detail.get("revision", ""),
        copy=whose,
        day=issued.at.strftime("%Y-%m-%d %H:%M UTC"),
    )


def _answer(work: Work, issued: JobEvent, told: str) -> SheetAnswer:
    """Answer for a sheet that was issued; the trail must still lead where it led then."""
    entry = int(issued.detail.get("entry", "0"))
    if work.was_taken_in(issued.job_id, issued.detail.get("fingerprint", "")):
        # It left another shop; the trail it names is not this one.
        told += " " + tr("It was issued by the shop this job was taken over from.")
    elif entry and work.chain_at(entry) != issued.detail.get("chain"):
        sheet = _named(work, issued)
        altered = tr("It is {sheet}, but the logbook was altered since: its trail no longer leads there.", sheet=sheet)
        return SheetAnswer(False, altered, issued.job_id)
    now = work.job(issued.job_id).revision
    if str(now) != issued.detail.get("revision", str(now)):
        told += " " + tr("The job has become revision {revision} since.", revision=now)
    return SheetAnswer(True, told, issued.job_id)
