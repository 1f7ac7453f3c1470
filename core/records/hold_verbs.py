"""What a job has of the drawer: one piece at each of its sides, and what it used up.

All of it is read from the moves of the pieces; nothing else is stored, so the two cannot disagree.
"""

from __future__ import annotations

from collections import defaultdict

from core.errors import RuleError
from core.facts import Hold, JobParts, PartMove, UsedPart
from core.language import tr
from core.records import tables
from core.records.drawer_rows import MOST_PIECES
from core.records.drawer_verbs import DrawerVerbs
from core.records.job_verbs import JobVerbs
from core.records.texts import LONGEST_KEY, line, whole

MOST_TRIALS = 999

Place = tuple[str, str, int]
"""The stage, entry and trial a piece is taken for."""


class HoldVerbs(JobVerbs, DrawerVerbs):
    """What a job can do with the drawer.

    A job has at most one piece at an entry (a side, the spacer), whichever stage and trial took it: what is in the
    casing at preload is in it at backlash. A piece is taken with ``reserved`` and given back with ``returned``;
    ``fitted`` and ``unfitted`` move no piece, they say whether an accepted trial has it.
    """

    # -- what a job has --------------------------------------------------------------------------------------------

    def held_by_job(self, job_id: int) -> JobParts:
        """Return the piece a job has at each entry, and what it used.

        Raises
        ------
        NotFoundError
            There is no such job.
        """
        self.job(job_id)
        moves = self.moves_of_job(job_id)
        parts = {part_id: self.part(part_id) for part_id in {move.part_id for move in moves}}
        holds = {
            entry: Hold(parts[taken.part_id], taken.stage, entry, taken.trial, is_fitted, taken.person)
            for entry, (taken, is_fitted) in _standing(moves).items()
        }
        used: dict[int, int] = defaultdict(int)
        for move in moves:
            if not move.entry:
                used[move.part_id] -= move.pieces
        return JobParts(holds, tuple(UsedPart(parts[part_id], pieces) for part_id, pieces in used.items() if pieces))

    def moves_of_job(self, job_id: int) -> list[PartMove]:
        """Return what a job moved in the drawer, oldest first."""
        return self._moves(tables.part_move.c.job_id == job_id)

    # -- one piece at an entry -------------------------------------------------------------------------------------

    def take_piece(self, job_id: int, place: Place, part_id: int) -> None:
        """Give a job one piece for an entry; what it had there goes back into the drawer.

        The piece it has there already stays, and that this trial has it too is noted without a piece moving. The last
        piece, where the job has it on its other side, changes sides.

        Parameters
        ----------
        job_id : int
            An open job.
        place : tuple
            Stage, entry and trial it is taken for.
        part_id : int
            What it is taken from.

        Raises
        ------
        ConflictError
            Somebody else took the last one.
        RuleError
            None is left, or the job is signed.
        """
        self.open_job(job_id)
        place = _checked(place)
        holds = self.held_by_job(job_id).holds
        there = holds.get(place[1])
        if there is not None and there.part.id == part_id:
            self._move(there.part, "reserved", 0, job_id=job_id, at=place)
            return
        if there is not None:
            self._move(there.part, "returned", 1, job_id=job_id, at=place)
        if self.part(part_id).count == 0:
            elsewhere = next((hold for hold in holds.values() if hold.part.id == part_id), None)
            if elsewhere is not None:
                self._move(elsewhere.part, "returned", 1, job_id=job_id, at=(place[0], elsewhere.entry, place[2]))
        self._move(self.part(part_id), "reserved", -1, job_id=job_id, at=place)

    def give_piece_back(self, job_id: int, place: Place, reason: str = "") -> None:
        """Put the piece a job has at an entry back into the drawer; nothing happens where it has none."""
        self.open_job(job_id)
        hold = self.held_by_job(job_id).holds.get(place[1])
        if hold is not None:
            self._move(hold.part, "returned", 1, job_id=job_id, at=_checked(place), reason=reason)

    def note_fitted(self, job_id: int, place: Place, *, is_fitted: bool) -> None:
        """Note that an accepted trial has the piece a job holds at an entry, or that none has it any more."""
        hold = self.held_by_job(job_id).holds.get(place[1])
        if hold is not None and hold.is_fitted != is_fitted:
            self._move(hold.part, "fitted" if is_fitted else "unfitted", 0, job_id=job_id, at=_checked(place))

    # -- what is used up -------------------------------------------------------------------------------------------

    def use_part(self, job_id: int, part_id: int, pieces: int = 1) -> None:
        """Use pieces up on a job: seals, bearings, spacers, whatever no entry asks for.

        Raises
        ------
        ConflictError
            Somebody else took the last one.
        RuleError
            There are fewer, or the job is signed.
        """
        self.open_job(job_id)
        pieces = whole(pieces, tr("The number of pieces"), 1, MOST_PIECES)
        self._move(self.part(part_id), "used", -pieces, job_id=job_id)

    def bring_part_back(self, job_id: int, part_id: int, pieces: int = 1) -> None:
        """Bring back pieces that were taken to be used and were not.

        Raises
        ------
        RuleError
            The job used fewer, or is signed.
        """
        self.open_job(job_id)
        pieces = whole(pieces, tr("The number of pieces"), 1, MOST_PIECES)
        part = self.part(part_id)
        used = next((u.pieces for u in self.held_by_job(job_id).used if u.part.id == part_id), 0)
        if pieces > used:
            raise RuleError(
                tr("This job used {count} of {piece}.", count=used, piece=part.called),
                tr("Bring back no more than that; receive what came in anew."),
            )
        self._move(part, "returned", pieces, job_id=job_id)


def _standing(moves: list[PartMove]) -> dict[str, tuple[PartMove, bool]]:
    """Return by entry how the piece that is there was last taken, and whether an accepted trial has it."""
    standing: dict[str, tuple[PartMove, bool]] = {}
    for move in moves:
        if not move.entry:
            continue
        if move.what == "reserved":
            before = standing.get(move.entry)
            is_same = before is not None and before[0].part_id == move.part_id
            standing[move.entry] = (move, is_same and before is not None and before[1])
        elif move.what == "returned":
            standing.pop(move.entry, None)
        elif move.entry in standing:
            standing[move.entry] = (standing[move.entry][0], move.what == "fitted")
    return standing


def _checked(place: Place) -> Place:
    stage, entry, trial = place
    return (
        line(stage, tr("The stage"), LONGEST_KEY, is_needed=True),
        line(entry, tr("The entry"), LONGEST_KEY, is_needed=True),
        whole(trial, tr("The trial"), 0, MOST_TRIALS),
    )
