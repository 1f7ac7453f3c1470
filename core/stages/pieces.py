"""What a job's readings say about the pieces it has of the drawer.

A piece is taken for an entry: a side of a trial, the spacer. From then on readings speak about it: the next trial may
have another piece there, a trial is accepted, a reading is taken back. This is the one place that says what follows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from core.facts import Hold, Part, PartMove
from core.stages import contact_pattern, registry
from core.stages.contact_pattern import PINION_SHIMS, shim_trial
from core.stages.context import Context
from core.stages.entry import Entry, Stage
from core.stages.sides import OPPOSITE_SIDE, RING_GEAR_SIDE, SIDES

DRAWER = "drawer"
"""The source of a reading that was taken over from the drawer."""

PIECE_KINDS: Mapping[str, tuple[str, ...]] = {
    RING_GEAR_SIDE: ("ring", "shim"),
    OPPOSITE_SIDE: ("ring", "shim"),
    "spacer": ("spacer", "shim"),
    **dict.fromkeys(PINION_SHIMS, ("shim",)),
}
"""The entries a piece may be taken for, and what kinds of piece suit each."""

PIECE_FITS: Mapping[str, str] = {**dict.fromkeys(SIDES, "sides"), **dict.fromkeys(PINION_SHIMS, "pinion")}
"""Where a shim must fit to be taken for an entry; one that is said to fit there is none for the others, spacer or not.
"""

SAME_PIECE_MM = 0.005
"""Two readings of one ring agree within this; what is further off is another ring (common practice)."""

Place = tuple[str, str, int]
"""Stage, entry and trial."""


@dataclass(frozen=True)
class Pieces:
    """A job with what it has of the drawer: its readings, the piece at each entry, and how they moved."""

    context: Context
    holds: Mapping[str, Hold]
    moves: Sequence[PartMove]

    def taken_for(self, place: Place) -> int | None:
        """Return the part a trial's piece was taken from, or None where its reading was typed by hand."""
        stage, entry, trial = place
        reading = self.context.reading(stage, entry, trial=trial)
        if reading is None or reading.source != DRAWER:
            return None
        taken = None
        for move in self.moves:
            if (move.stage, move.entry, move.trial) == place and move.what in ("reserved", "returned"):
                taken = move.part_id if move.what == "reserved" else None
        return taken

    def has(self, place: Place, hold: Hold) -> bool:
        """Tell whether the reading at a place is of the piece that is held there.

        A reading typed by hand is of the held piece where it comes after it was taken and agrees with its thickness:
        somebody measured it again.
        """
        stage, entry, trial = place
        reading = self.context.reading(stage, entry, trial=trial)
        if reading is None or reading.value is None:
            return False
        if reading.source == DRAWER:
            return self.taken_for(place) == hold.part.id
        if hold.part.thickness_mm is None or _order(place) < _order((hold.stage, hold.entry, hold.trial)):
            return False
        # Rounded far below any gauge, so that a reading exactly on the edge agrees in every unit of entry.
        return round(abs(reading.value - hold.part.thickness_mm) - SAME_PIECE_MM, 9) <= 0

    def goes_back(self, place: Place) -> bool:
        """Tell whether a reading written or taken back by hand means that the held piece is out again.

        It is where the reading it was taken for was taken back, and where from that trial on another thickness is
        typed: another piece sits there. A trial before it tells of what was in earlier, and moves nothing.
        """
        stage, entry, trial = place
        hold = self.holds.get(entry)
        if hold is None:
            return False
        held_for = (hold.stage, hold.entry, hold.trial)
        if self.context.reading(stage, entry, trial=trial) is None:
            return place == held_for
        return _order(place) >= _order(held_for) and not self.has(place, hold)

    def of_accepted(self, stage: Stage) -> dict[Place, int | None]:
        """Return which part is to be in at each entry of a stage, now that one of its trials is accepted.

        None stands for a piece that never was in the drawer. What a later stage has taken out since stays out, and an
        entry nothing is known about is not named.
        """
        wanted: dict[Place, int | None] = {}
        for place in self._places(stage):
            hold = self.holds.get(place[1])
            if hold is not None and _stage_order(hold.stage) > _stage_order(stage.key):
                continue
            part_id = self.taken_for(place)
            if part_id is not None:
                wanted[place] = part_id
            elif hold is not None:
                wanted[place] = hold.part.id if self.has(place, hold) else None
        return wanted

    def fitted(self) -> dict[str, Place]:
        """Return by entry where an accepted trial has the piece that is held; what none has is left out."""
        found: dict[str, Place] = {}
        for stage in registry.STAGES:
            for place in self._places(stage):
                hold = self.holds.get(place[1])
                if hold is not None and self.has(place, hold):
                    found.setdefault(place[1], place)
        return found

    def _places(self, stage: Stage) -> Iterable[Place]:
        """Return the places of an accepted trial that a piece may sit at; none where no trial is accepted."""
        accepted = self.context.accepted_trial(stage.key, stage.accept) if stage.has_trials else None
        if accepted is None:
            return ()
        asked = [entry for entry in stage.entries if takes_piece(entry)]
        # The sides are measured at every trial; the pinion's shim only where the pinion was moved.
        if stage.key == contact_pattern.KEY:
            accepted = shim_trial(self.context, accepted) or accepted
        return [(stage.key, entry.key, accepted if entry.is_trial else 0) for entry in asked]


def entries_beside(entry_key: str) -> tuple[str, ...]:
    """Return the entries that pieces are swapped between: both sides, both pinion shims, else the entry alone."""
    return next((together for together in (SIDES, PINION_SHIMS) if entry_key in together), (entry_key,))


def suits(part: Part, entry_key: str) -> bool:
    """Tell whether a piece may be taken for an entry: by its kind, and by where it fits if that is said."""
    return part.kind in PIECE_KINDS.get(entry_key, ()) and part.fits in ("", PIECE_FITS.get(entry_key, ""))


def takes_piece(entry: Entry) -> bool:
    """Tell whether a piece of the drawer may be taken for an entry."""
    return entry.key in PIECE_KINDS and entry.kind == "length"


def _order(place: Place) -> tuple[int, int]:
    return _stage_order(place[0]), place[2]


def _stage_order(key: str) -> int:
    return next(at for at, stage in enumerate(registry.STAGES) if stage.key == key)
