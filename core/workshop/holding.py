"""The pieces a job has of the drawer, kept in step with its readings."""

from __future__ import annotations

from dataclasses import replace

from core.advice import Known
from core.errors import ConflictError
from core.facts import Part
from core.language import tr
from core.quantities import unit_for
from core.records import Work
from core.stages import stage
from core.stages.contact_pattern import PINION_SHIMS
from core.stages.context import Context
from core.stages.pieces import Pieces, entries_beside, suits, takes_piece
from core.stages.sides import SIDES
from core.workshop.base import context_of


def pieces_of(work: Work, context: Context) -> Pieces:
    """Return a job with what it has of the drawer."""
    job_id = context.job.id
    return Pieces(context, work.held_by_job(job_id).holds, work.moves_of_job(job_id))


def follow(work: Work, job_id: int, stage_key: str, entry_key: str, trial: int) -> None:
    """Move the pieces of a job as a reading that was just written, or taken back, by hand asks for.

    - A side measured by hand keeps the piece that is held for it where the two agree: it was measured again. Any
      other thickness is another piece, so the one held goes back into the drawer; and so it does where the reading
      it was taken for is taken back. A trial before the one it was taken for tells what was in earlier, and moves
      nothing. Typing never takes a piece out: only who takes one from the drawer does.
    - An accepted trial fits what it has. Where a later trial had other pieces in, they go back and its own are taken
      out again; if somebody else has one of them meanwhile, the trial cannot be accepted with it.
    - An acceptance taken back leaves the pieces in, unfitted.

    Raises
    ------
    ConflictError
        A piece of the accepted trial was taken by somebody else.
    """
    declared = stage(stage_key)
    is_acceptance = declared.has_trials and entry_key == declared.accept
    if not is_acceptance and not takes_piece(declared.entry(entry_key)):
        return
    if not work.moves_of_job(job_id):
        return
    place = (stage_key, entry_key, trial)
    pieces = pieces_of(work, context_of(work, job_id))
    if is_acceptance:
        for wanted_at, part_id in pieces.of_accepted(declared).items():
            _put_in(work, job_id, wanted_at, part_id, pieces)
    elif pieces.goes_back(place):
        work.give_piece_back(job_id, place)
    note_what_is_fitted(work, pieces.context)


def _put_in(work: Work, job_id: int, place: tuple[str, str, int], part_id: int | None, pieces: Pieces) -> None:
    hold = pieces.holds.get(place[1])
    if part_id is None:
        work.give_piece_back(job_id, place)
    elif hold is None or hold.part.id != part_id:
        try:
            work.take_piece(job_id, place, part_id)
        except ConflictError as error:
            remedy = tr("Enter anew what is fitted there, from the drawer or by hand; then accept the trial.")
            raise ConflictError(error.message, remedy) from None


def note_what_is_fitted(work: Work, context: Context) -> None:
    """Note of every piece a job has whether an accepted trial has it, by the readings as they are now."""
    pieces = pieces_of(work, context)
    fitted = pieces.fitted()
    for entry, hold in pieces.holds.items():
        place = fitted.get(entry, (hold.stage, entry, hold.trial))
        work.note_fitted(context.job.id, place, is_fitted=entry in fitted)


def there_for(work: Work, job_id: int, entry_key: str) -> list[Part]:
    """Return the pieces a job could have at an entry: those free in the drawer, and those it has there or beside it.

    What is said to fit elsewhere is not among them, not even where the job has it there since before that was said.
    """
    beside = entries_beside(entry_key)
    own: dict[int, int] = {}
    for hold in work.held_by_job(job_id).holds.values():
        if hold.entry in beside:
            own[hold.part.id] = own.get(hold.part.id, 0) + 1
    parts = [part for part in work.parts() if suits(part, entry_key) and (not part.is_retired or part.id in own)]
    return [replace(part, count=part.count + own.get(part.id, 0)) for part in parts]


def drawer_for(work: Work, job_id: int) -> Known:
    """Return what advice is to know of the drawer: what the sides and the pinion can have, and what they have."""
    holds = work.held_by_job(job_id).holds
    fitted, under = ([holds[at].part.id for at in together if at in holds] for together in (SIDES, PINION_SHIMS))
    return Known(
        there_for(work, job_id, SIDES[0]),
        (fitted[0], fitted[1]) if len(fitted) == len(SIDES) else None,
        shims=there_for(work, job_id, PINION_SHIMS[0]),
        under_pinion=tuple(under),
    )


def unit_at(context: Context, entry_key: str, system: str) -> str:
    """Return the unit a piece is read in at an entry: the one the job's were read in last, else the shop's."""
    beside = entries_beside(entry_key)
    read = [reading.unit for (_, entry, _, _), reading in context.current.items() if entry in beside]
    return read[-1] if read else unit_for("length", system).id
