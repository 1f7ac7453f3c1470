"""The drawer: what lies in it, and what a job takes from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.advice.wanted import wanted_mm
from core.errors import RuleError
from core.facts import FITS_WORDS, JobParts, Part, PartMove
from core.language import tr
from core.quantities import Amount, parse, show
from core.shop_inputs import places_mm, thickness_mm, whole_number, words
from core.stages import evaluate_job, stage, take
from core.stages.context import Context
from core.stages.entry import Entry, Stage
from core.stages.pieces import DRAWER, PIECE_KINDS, suits, takes_piece
from core.stages.preload import ring_range_mm
from core.stages.sides import SIDES
from core.stages.state import JobState
from core.workshop.advising import Advising
from core.workshop.base import context_of
from core.workshop.holding import note_what_is_fitted, pieces_of, there_for, unit_at

if TYPE_CHECKING:
    from core.records import Work
    from core.records.hold_verbs import Place


@dataclass(frozen=True)
class Offer:
    """A piece that could be taken for an entry: how far it is off the thickness wanted [mm], None where none is.

    `text` is what would be read, in `unit`; `held_at` is the entry the job has it at already, "" for one that lies in
    the drawer.
    """

    part: Part
    text: str
    unit: str
    off_mm: float | None
    held_at: str = ""


class Drawer(Advising):
    """What can be done with the drawer."""

    # -- what there is ---------------------------------------------------------------------------------------------

    def parts(self) -> list[Part]:
        """Return what the drawer holds or ever held, in the order it was added."""
        with self._logbook.look() as work:
            return work.parts()

    def order_list(self) -> list[Part]:
        """Return the parts of which less is free than their reorder level; `Part.to_order` says how many lack."""
        with self._logbook.look() as work:
            return work.order_list()

    def order_text(self) -> str:
        """Return the order list as lines of text, to be sent to whoever delivers."""
        return "\n".join(order_line(part) for part in self.order_list())

    def moves(self, part_id: int) -> list[PartMove]:
        """Return what happened to the pieces of a part, oldest first."""
        with self._logbook.look() as work:
            return work.moves(part_id)

    def stock_disagreements(self) -> list[str]:
        """Return a sentence for every part whose free pieces are not the sum of its moves."""
        with self._logbook.look() as work:
            return work.stock_disagreements()

    # -- what is put in and taken out ------------------------------------------------------------------------------

    def add_part(
        self,
        kind: str,
        name_text: str,
        place_text: str,
        nominal_text: str = "",
        measured_text: str = "",
        count_text: str = "1",
        level_text: str = "0",
        *,
        gauge_id: int | None = None,
        person: str = "",
        fits: str = "",
    ) -> Part:
        """Put pieces into the drawer, from what was typed; `measured_text` may name several places.

        `fits` says of a shim where it does: ``sides``, ``pinion``, or "" where that is not said.
        """
        place = parse("text", place_text).text
        nominal_mm = thickness_mm(nominal_text) if nominal_text.strip() else None
        measured = places_mm(measured_text, nominal_mm) if measured_text.strip() else []
        with self._working("add_part", person) as work:
            part = work.add_part(
                kind, words(name_text), place, nominal_mm, whole_number(count_text), whole_number(level_text), fits
            )
            if measured:
                part = work.measure_part(part.id, measured, gauge_id)
            work.commit()
        return part

    def measure_part(self, part_id: int, places_text: str, *, gauge_id: int | None = None, person: str = "") -> Part:
        """Write down another round of measurements; the last counts, the earlier ones stay known."""
        with self._working("measure_part", person) as work:
            part = _measured(work, work.part(part_id), places_text, gauge_id)
            work.commit()
        return part

    def receive(self, part_id: int, pieces_text: str, reason: str = "", person: str = "") -> Part:
        """Put further pieces in."""
        with self._working("receive", person) as work:
            part = work.receive(part_id, whole_number(pieces_text), words(reason))
            work.commit()
        return part

    def count_part(self, part_id: int, counted_text: str, reason: str, person: str, *, seen: int | None = None) -> Part:
        """Set the free pieces to what was counted; the owner's business, with a reason.

        `seen` is the version that was on the screen while somebody counted: where pieces came or went since, it is
        counted again.
        """
        with self._working("count_part", person) as work:
            work.need_owner(person)
            part = work.count_part(part_id, whole_number(counted_text), words(reason), seen=seen)
            work.commit()
        return part

    def scrap(self, part_id: int, pieces_text: str, reason: str, person: str) -> Part:
        """Take pieces out for good; the owner's business, with a reason."""
        with self._working("scrap", person) as work:
            work.need_owner(person)
            part = work.scrap(part_id, whole_number(pieces_text), words(reason))
            work.commit()
        return part

    def change_part(
        self, seen: Part, name_text: str, place_text: str, level_text: str, person: str = "", *, fits: str | None = None
    ) -> Part:
        """Correct what a part is called, where it lies, when it is ordered and where it fits.

        `seen` is the part as it was shown; without `fits` that stays as it was.
        """
        place, level = parse("text", place_text).text, whole_number(level_text)
        with self._working("change_part", person) as work:
            part = work.change_part(seen, words(name_text), place, level, fits)
            work.commit()
        return part

    def retire_part(self, part_id: int, person: str = "") -> Part:
        """Keep a part no longer; its moves stay."""
        with self._working("retire_part", person) as work:
            part = work.retire_part(part_id)
            work.commit()
        return part

    # -- what a job has --------------------------------------------------------------------------------------------

    def held_by_job(self, job_id: int) -> JobParts:
        """Return the piece a job has at each entry, and what it used."""
        with self._logbook.look() as work:
            return work.held_by_job(job_id)

    def offers(self, job_id: int, stage_key: str, entry_key: str, trial: int = 0) -> list[Offer]:
        """Return the pieces that could be taken for an entry, the nearest to the thickness wanted first.

        Where nothing speaks for a thickness, the kind that suits best comes first, thinnest first. What the family's
        rings cannot be is not offered.
        """
        kinds = PIECE_KINDS.get(entry_key, ())
        with self._logbook.look() as work:
            state = self._state(work, job_id, {stage_key: trial})
            there = there_for(work, job_id, entry_key)
            wanted = wanted_mm(state, stage_key, entry_key, trial, self._advice(work, state, stage_key))
            held = {hold.part.id: entry for entry, hold in work.held_by_job(job_id).holds.items()}
            system = work.shop().units
        unit = unit_at(state.context, entry_key, system)
        thinnest_mm, thickest_mm = (ring_range_mm(state.context) if entry_key in SIDES else None) or (0.0, math.inf)
        offers = [
            Offer(
                part,
                show("length", part.thickness_mm or 0.0, unit),
                unit,
                None if wanted is None or part.thickness_mm is None else part.thickness_mm - wanted,
                held.get(part.id, ""),
            )
            for part in there
            if part.count > 0 and thinnest_mm <= (part.thickness_mm or 0.0) <= thickest_mm
        ]
        return sorted(offers, key=lambda offer: _nearest_first(offer, kinds))

    def take_from_drawer(
        self,
        job_id: int,
        stage_key: str,
        entry_key: str,
        trial: int,
        part_id: int,
        person: str,
        *,
        measured_text: str = "",
        seen: int | None = None,
    ) -> JobState:
        """Take a piece for an entry: its thickness becomes the reading, and one piece less lies in the drawer.

        What the job had at that entry goes back, whichever stage took it; the same piece chosen again moves nothing.
        The reading is the mean of the places measured, with its unit and with the gauge they were measured with.

        Parameters
        ----------
        job_id, stage_key, entry_key, trial : int or str
            Where it is to sit; trial 0 for what is fitted once.
        part_id : int
            What it is taken from.
        person : str
            Who takes it.
        measured_text : str
            The places measured now, as typed; a piece that was never measured is not taken without.
        seen : int, optional
            The reading that stood there for the person, 0 for none; None where it does not matter.

        Raises
        ------
        ConflictError
            Somebody else took the last one, or another reading stands there than the one seen.
        RuleError
            It was never measured, does not belong there, the trade's rules refuse it, or the job is signed.
        """
        place = (stage_key, entry_key, trial)
        with self._working("take_from_drawer", person) as work:
            self._note_before(work, context_of(work, job_id), stage_key, trial, person)
            part = _need_fit(stage(stage_key).entry(entry_key), work.part(part_id))
            if measured_text.strip():
                part = _measured(work, part, measured_text, part.gauge_id)
            self._put_in(work, job_id, place, part, person, seen)
            context = context_of(work, job_id)
            note_what_is_fitted(work, context)
            work.commit()
        return evaluate_job(context, {stage_key: trial})

    def _put_in(self, work: Work, job_id: int, place: Place, part: Part, person: str, seen: int | None = None) -> None:
        """Take a measured piece for an entry, and write its thickness down as the reading there."""
        stage_key, entry_key, trial = place
        pieces = pieces_of(work, context_of(work, job_id))
        declared = stage(stage_key)
        amount = _as_reading(part, pieces.context, declared, declared.entry(entry_key), trial, work.shop().units)
        standing, hold = pieces.context.reading(stage_key, entry_key, trial=trial), pieces.holds.get(entry_key)
        is_there = hold is not None and hold.part.id == part.id == pieces.taken_for(place)
        if is_there and standing is not None and standing.text == amount.text:
            return
        work.take_piece(job_id, place, part.id)
        work.record(
            job_id, stage_key, entry_key, "", trial, amount, gauge_id=part.gauge_id, person=person,
            at=self._clock(), source=DRAWER, seen=seen,
            reason=tr("another piece was taken from the drawer") if standing else "",
        )  # fmt: skip

    def use_part(self, job_id: int, part_id: int, pieces_text: str = "1", person: str = "") -> JobParts:
        """Use pieces up on a job: seals, bearings, spacers."""
        with self._working("use_part", person) as work:
            work.use_part(job_id, part_id, whole_number(pieces_text))
            held = work.held_by_job(job_id)
            work.commit()
        return held

    def bring_part_back(self, job_id: int, part_id: int, pieces_text: str = "1", person: str = "") -> JobParts:
        """Bring back pieces that were taken to be used and were not."""
        with self._working("bring_part_back", person) as work:
            work.bring_part_back(job_id, part_id, whole_number(pieces_text))
            held = work.held_by_job(job_id)
            work.commit()
        return held


def order_line(part: Part) -> str:
    """Return one line of the order list."""
    return tr(
        "{lacking} × {piece}; {count} there, {level} wanted",
        lacking=part.to_order,
        piece=part.called,
        count=part.count,
        level=part.reorder_level,
    )


def _nearest_first(offer: Offer, kinds: Sequence[str]) -> tuple[float, int, float, int]:
    part = offer.part
    return abs(offer.off_mm or 0.0), kinds.index(part.kind), part.thickness_mm or 0.0, part.id


def _measured(work: Work, part: Part, places_text: str, gauge_id: int | None) -> Part:
    return work.measure_part(part.id, places_mm(places_text, part.nominal_mm), gauge_id)


def _need_fit(entry: Entry, part: Part) -> Part:
    if not takes_piece(entry) or part.kind not in PIECE_KINDS[entry.key]:
        raise RuleError(
            tr("No {piece} belongs there: {label}.", piece=part.called, label=tr(entry.label)),
            tr("Choose a piece of another kind."),
        )
    if not suits(part, entry.key):
        raise RuleError(
            tr(
                "The {piece} is one for the {fits}, so it does not belong there: {label}.",
                piece=part.called,
                fits=tr(FITS_WORDS[part.fits]),
                label=tr(entry.label),
            ),
            tr("Choose another, or change in the drawer where it fits."),
        )
    return part


def _as_reading(part: Part, context: Context, declared: Stage, entry: Entry, trial: int, system: str) -> Amount:
    if not part.measured_mm:
        raise RuleError(
            tr("The {piece} was never measured; the stamped size is not enough.", piece=part.called),
            tr("Measure it at a few places and type what the micrometer reads."),
        )
    # The mean of the measured places, rounded to what a micrometer of that unit shows.
    text = show("length", part.thickness_mm or 0.0, unit_at(context, entry.key, system))
    return take(context, declared, entry, entry.positions[0], trial, text)
