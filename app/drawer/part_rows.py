"""How the pieces of the drawer and their moves read: as rows, and in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC

from app.drawer.section import Line, cell_columns
from core.facts import FITS_WORDS, PART_WORDS, Part, PartMove
from core.language import mark, tr
from core.mechanics.rings import MOST_SPREAD_MM, is_parallel
from core.quantities import number, show
from core.stages import STAGES

KINDS = tuple(PART_WORDS)

MOVE_WORDS = {
    "received": mark("came in"),
    "reserved": mark("taken for a trial"),
    "fitted": mark("its trial stays"),
    "unfitted": mark("its trial no longer stays"),
    "returned": mark("put back"),
    "used": mark("used up"),
    "counted": mark("counted"),
    "scrapped": mark("thrown away"),
}
"""What a move is called, by its key."""

FITS_SENTENCES = {
    "": mark("Where it fits is not said: it is offered for the sides and for the pinion."),
    "sides": mark("It fits the bearing sides."),
    "pinion": mark("It fits under the pinion."),
}
"""What is said of a shim by where it fits."""

PART_COLUMNS = cell_columns(
    (mark("Piece"), False),
    (mark("Fits"), False),
    (mark("Place"), False),
    (mark("Stamped"), True),
    (mark("Measured"), True),
    (mark("Spread"), True),
    (mark("Free"), True),
    (mark("Order below"), True),
    (mark("To order"), True),
)

MOVE_COLUMNS = cell_columns(
    (mark("When"), False),
    (mark("What"), False),
    (mark("Pieces"), True),
    (mark("Job"), False),
    (mark("Who"), False),
    stretched=1,
)


@dataclass(frozen=True)
class PartLine(Line):
    """One part in the list."""

    part: Part


def part_lines(parts: Sequence[Part], unit: str) -> list[PartLine]:
    """Return the parts as rows, kind by kind, the thinnest first; lengths in a unit."""

    def order(part: Part) -> tuple[int, float, str, str]:
        return KINDS.index(part.kind), part.thickness_mm or 0.0, part.name, part.place

    return [PartLine(part.id, _cells(part, unit), part) for part in sorted(parts, key=order)]


def _cells(part: Part, unit: str) -> tuple[str, ...]:
    return (
        part.name or tr(PART_WORDS[part.kind]),
        tr(FITS_WORDS[part.fits]) if part.fits else "",
        part.place,
        "" if part.nominal_mm is None else show("length", part.nominal_mm, unit),
        show("length", part.thickness_mm or 0.0, unit) if part.measured_mm else "",
        spread_words(part, unit),
        str(part.count),
        str(part.reorder_level) if part.reorder_level else "",
        str(part.to_order) if part.to_order else "",
    )


def spread_words(part: Part, unit: str) -> str:
    """Return how far the measured places of a piece are apart, with a word where that is too far."""
    if part.spread_mm is None:
        return ""
    spread = show("length", part.spread_mm, unit)
    return spread if is_level(part) else tr("{spread}, not parallel", spread=spread)


def is_level(part: Part) -> bool:
    """Tell whether the measured places of a piece agree as those of a ring must; seals and bearings need not."""
    return part.kind not in ("ring", "shim", "spacer") or is_parallel(part.measured_mm)


def part_facts(part: Part, unit: str) -> list[str]:
    """Return what is known of a part, in sentences."""
    told = [tr("{kind}, {count} free in the drawer.", kind=tr(PART_WORDS[part.kind]), count=part.count)]
    if part.kind == "shim":
        told.append(tr(FITS_SENTENCES[part.fits]))
    if part.measured_mm:
        places = " · ".join(number("length", mm, unit) for mm in part.measured_mm)
        mean = show("length", part.thickness_mm or 0.0, unit)
        told.append(tr("Measured: {places}, mean {mean}.", places=places, mean=mean))
    elif part.nominal_mm is not None:
        told.append(tr("Never measured; stamped {size}.", size=show("length", part.nominal_mm, unit)))
    if part.to_order:
        told.append(tr("Below its level of {level}: order {lacking}.", level=part.reorder_level, lacking=part.to_order))
    if part.is_retired:
        told.append(tr("Not kept any more."))
    return told


def warning(part: Part, unit: str) -> str:
    """Return what is wrong with a piece as it was measured, or ""."""
    if part.spread_mm is None or is_level(part):
        return ""
    return tr(
        "Look again: its places are {spread} apart, more than {most}. A ring that is not parallel tips the bearing.",
        spread=show("length", part.spread_mm, unit),
        most=show("length", MOST_SPREAD_MM, unit),
    )


def move_lines(moves: Sequence[PartMove]) -> list[Line]:
    """Return the moves of a part as rows, the newest first."""
    return [Line(move.id, _move_cells(move)) for move in reversed(moves)]


def _move_cells(move: PartMove) -> tuple[str, ...]:
    # A piece taken once more for the next trial does not move: it is in already.
    is_kept_in = move.what == "reserved" and not move.pieces
    what = tr("stays for the next trial") if is_kept_in else tr(MOVE_WORDS[move.what])
    return (
        move.at.replace(tzinfo=move.at.tzinfo or UTC).astimezone().strftime("%Y-%m-%d %H:%M"),
        tr("{what}: {why}", what=what, why=move.reason) if move.reason else what,
        f"{move.pieces:+d}" if move.pieces else "",
        _job_words(move),
        move.person,
    )


def _job_words(move: PartMove) -> str:
    label = next((tr(stage.label) for stage in STAGES if stage.key == move.stage), "")
    if not move.job_number:
        return ""
    if not label:
        return move.job_number
    if not move.trial:
        return tr("{number}, {stage}", number=move.job_number, stage=label)
    return tr("{number}, {stage}, trial {trial}", number=move.job_number, stage=label, trial=move.trial)
