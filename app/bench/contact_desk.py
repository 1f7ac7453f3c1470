"""What the bench does with the contact board: the right tooth on it, and prints and numbers that agree."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject, Signal

from app.bench.column import StageColumn
from app.board.editor import OutlineEditor
from app.widgets.entry_field import EntryField
from app.widgets.sentences import say
from core.errors import UserError
from core.facts import Job, SpecCard
from core.language import tr
from core.mechanics.outline import Ring
from core.outlines import read_outline
from core.stages import contact_pattern, teardown
from core.stages.prints import NUMBERS, OUTLINE, flank_of, numbers_of, print_at, typed_print
from core.stages.size_bands import bands_of, bands_words
from core.stages.state import JobState
from core.stages.tooth import COAST, DRIVE, Tooth, tooth_of


def side_of(field: EntryField) -> str:
    """Return which side a print is on: drive or coast."""
    return DRIVE if field.entry.key.removesuffix(OUTLINE).endswith(DRIVE) else COAST


def centre_box(card: SpecCard) -> Ring:
    """Return the corners of where a card wants the centre of a print; nothing where it says neither along nor deep."""
    limits = [card.limits.get(key) for key in ("contact_along", "contact_depth")]
    if not any(limits):
        return ()
    (left, right), (low, high) = (
        (0.0, 1.0) if limit is None else (limit.low or 0.0, 1.0 if limit.high is None else limit.high)
        for limit in limits
    )
    return (left, low), (right, low), (right, high), (left, high)


def _set_words(job: Job, tooth: Tooth) -> tuple[str, ...]:
    """Say what is painted beside the prints, and which set they are on: its flanks, and what of it is only usual."""
    found = bands_of(job.card, job.ring_gear_teeth / job.pinion_teeth)
    box = tr("cross: the print's centre; box: where the card wants it") if centre_box(job.card) else ""
    return box, tooth.set_words, tooth.assumed_words, bands_words(found.values())


class ContactDesk(QObject):
    """Keeps the boards of a stage up to date; storing is the page's.

    Signals
    -------
    rearranged()
        The order of the Tab key must be set anew.
    """

    rearranged = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._column: StageColumn | None = None

    def adopt(self, field: EntryField) -> None:
        """Have the numbers of a print follow what is drawn."""
        if isinstance(field.editor, OutlineEditor):
            for told in (field.editor.edited, field.editor.shown):
                told.connect(partial(self._lead, field))

    def leave(self) -> None:
        """Forget the stage that was shown."""
        self._column = None

    def show_stage(self, state: JobState, stage_key: str, column: StageColumn) -> None:
        """Show the tooth of the job on each board, with the print typed in numbers and the one found before."""
        self._column = column
        pairs = column.pairs()
        if not pairs:
            return
        tooth = tooth_of(state.context.job)
        of_the_set = _set_words(state.context.job, tooth)
        is_other = False
        for pair in pairs:
            by_side = {side_of(field): field for field in pair.fields}
            is_other |= pair.put_in_order([by_side[side] for side in tooth.sides if side in by_side])
            has_found = [self._show(state, stage_key, field, tooth) for field in pair.fields]
            dashed = tr("dashed: the print as found") if any(has_found) else ""
            say(pair.note, "\n".join(part for part in (dashed, *of_the_set) if part))
        if is_other:
            self.rearranged.emit()

    def _show(self, state: JobState, stage_key: str, field: EntryField, tooth: Tooth) -> bool:
        """Show one flank; return whether the print found before is shown behind it."""
        editor, side, context = field.editor, side_of(field), state.context
        if not isinstance(editor, OutlineEditor):
            return False
        behind: tuple[Ring, ...] = ()
        if stage_key == contact_pattern.KEY:
            behind = print_at(context, teardown.KEY, f"contact_{side}", 0)
        editor.show_tooth(tooth, side, behind)
        editor.show_box(centre_box(context.card))
        is_drawn = context.reading(stage_key, field.entry.key, trial=field.trial) is not None
        flank = flank_of(field.entry)
        editor.show_typed(None if is_drawn else typed_print(context, stage_key, flank, field.trial))
        self._lead(field)
        return bool(behind)

    def _lead(self, field: EntryField) -> None:
        """Have the four numbers of a print that is not stored yet say what they will say."""
        column = self._column
        if column is None or not column.isAncestorOf(field):
            return
        flank, text = flank_of(field.entry), field.text()
        numbers: dict[str, float] = {}
        is_draft = field.is_changed
        if is_draft and text:
            try:
                numbers = numbers_of(read_outline(text))
            except UserError:
                is_draft = False
        for end in NUMBERS:
            said = f"{100 * numbers[end]:.0f}" if end in numbers else ""
            column.field(flank + end, "", field.trial).follow(said if is_draft else None)
