"""The left column of a stage: its fields in order of work, kept in place while readings come in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app import theme
from app.bench import plan
from app.bench.field_pair import FieldPair
from app.bench.lines import LEFT_MARGIN, EntryHeading, GroupHeading, ResultLine, TrialLine
from app.widgets.editors import ENTER_KEYS
from app.widgets.entry_field import EntryField
from core.history import Replaced
from core.language import tr
from core.stages.sides import is_side
from core.stages.state import StageState


class GoOnButton(QPushButton):
    """A button one arrives at by going on: Enter presses it. Only for what can be undone by going back."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setAutoDefault(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER_KEYS:
            self.click()
        else:
            super().keyPressEvent(event)


def _fields_of(widget: QWidget) -> list[EntryField]:
    """Return the fields of a row, in order."""
    if isinstance(widget, FieldPair):
        return widget.fields
    return [widget] if isinstance(widget, EntryField) else []


def _stops_of(widget: QWidget) -> list[QWidget]:
    """Return where Enter may come by in a row: its fields, or the row itself."""
    return list(_fields_of(widget)) or [widget]


class StageColumn(QWidget):
    """The fields of one stage.

    Signals
    -------
    made(field)
        A field was made; whoever stores readings connects to it.
    rearranged()
        The rows are others than before; the order of the Tab key must be set anew.
    next_trial_wanted()
        The next trial is to be started.
    """

    made = Signal(object)
    rearranged = Signal()
    next_trial_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state: StageState | None = None
        self._is_read_only = False
        self._opened: set[int] = set()
        self._rows: dict[plan.Key, QWidget] = {}
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 2 * theme.GRID)
        self._layout.setSpacing(2)
        self._layout.addStretch(1)
        self.next_trial = GoOnButton(tr("Start the next trial"), self)
        self.next_trial.hide()
        self.next_trial.clicked.connect(self.next_trial_wanted)

    # -- showing -------------------------------------------------------------------------------------------------

    def show_stage(self, state: StageState, *, is_read_only: bool) -> None:
        """Show a stage as it stands; widgets whose place is unchanged stay, with focus and drafts."""
        self._state, self._is_read_only = state, is_read_only
        rows = plan.plan(state, self._opened)
        if [row.key for row in rows] != list(self._rows):
            self._arrange(rows)
        for row in rows:
            self._update(row, self._rows[row.key])

    def show_replaced(self, stage: str, replaced: Mapping[tuple[str, str, str, int], Sequence[Replaced]]) -> None:
        """Show under each field the readings that stood there before, by stage, entry, position and trial."""
        for field in self.fields():
            field.show_replaced(replaced.get((stage, *field.key), ()))

    def _arrange(self, rows: list[plan.Row]) -> None:
        """Put the rows in order: what is there already is kept, what is new is made, what is gone goes."""
        before = self._rows
        self._rows = {row.key: before.pop(row.key) if row.key in before else self._make(row) for row in rows}
        for gone in before.values():
            self._layout.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        for at, widget in enumerate(self._rows.values()):
            # Taken out by the layout itself: an item that outlives its place would keep a stale height.
            self._layout.removeWidget(widget)
            # The button must not be stretched over the column.
            is_button = widget is self._rows.get(("next_trial",))
            side = Qt.AlignmentFlag.AlignLeft if is_button else Qt.AlignmentFlag(0)
            self._layout.insertWidget(at, widget, 0, side)
            widget.show()
        self.rearranged.emit()

    def _make(self, row: plan.Row) -> QWidget:
        match row:
            case plan.Heading():
                return GroupHeading(row.label, self)
            case plan.EntryHead():
                return EntryHeading(self)
            case plan.Place():
                return self._field_made(row)
            case plan.Pair():
                return FieldPair([self._field_made(place) for place in row.places], self)
            case plan.Result():
                return ResultLine(self)
            case plan.TrialHead():
                line = TrialLine(self)
                line.toggled.connect(self._toggle)
                return line
            case plan.NextTrial():
                return self._next_trial_row()

    def _field_made(self, row: plan.Place) -> EntryField:
        place = row.field
        field = EntryField(place.entry, place.position, place.trial, parent=self)
        self.made.emit(field)
        return field

    def _next_trial_row(self) -> QWidget:
        row = QWidget(self)
        column = QVBoxLayout(row)
        column.setContentsMargins(LEFT_MARGIN, theme.GRID, 0, theme.GRID)
        column.addWidget(self.next_trial)
        self.next_trial.show()
        return row

    def _update(self, row: plan.Row, widget: QWidget) -> None:
        if isinstance(row, plan.Place) and isinstance(widget, EntryField):
            widget.show_state(row.field, is_wanted=row.is_wanted, is_read_only=self._is_read_only)
        elif isinstance(row, plan.Pair):
            for place in row.places:
                self._update(place, self.field(place.field.entry.key, place.field.position.key, place.field.trial))
        elif isinstance(row, plan.EntryHead) and isinstance(widget, EntryHeading):
            widget.show_entry(row.field)
        elif isinstance(row, plan.Result) and isinstance(widget, ResultLine):
            widget.show_result(row.derived)
        elif isinstance(row, plan.TrialHead) and isinstance(widget, TrialLine) and self._state is not None:
            is_last = row.trial is self._state.trials[-1]
            widget.show_trial(row.trial, is_open=row.is_open, is_last=is_last)
        elif isinstance(row, plan.NextTrial):
            self.next_trial.setEnabled(row.is_ready and not self._is_read_only)

    def _toggle(self, trial: int) -> None:
        """Open or close an earlier trial; one that holds unsaved text stays open."""
        if any(field.trial == trial and not field.flush() for field in self.fields()):
            return
        self._opened ^= {trial}
        if self._state is not None:
            self.show_stage(self._state, is_read_only=self._is_read_only)

    # -- moving ---------------------------------------------------------------------------------------------------

    def fields(self) -> list[EntryField]:
        """Return the fields in order of work."""
        return [field for widget in self._rows.values() for field in _fields_of(widget)]

    def row_of(self, widget: QWidget) -> QWidget | None:
        """Return the row of fields a widget stands in, or None."""
        return next((row for row in self._rows.values() if _fields_of(row) and row.isAncestorOf(widget)), None)

    def pairs(self) -> list[FieldPair]:
        """Return the prints that stand side by side."""
        return [widget for widget in self._rows.values() if isinstance(widget, FieldPair)]

    def field(self, entry: str, position: str = "", trial: int = 0) -> EntryField:
        """Return one field; KeyError where the page does not show it."""
        for field in self.fields():
            if field.key == (entry, position, trial):
                return field
        raise KeyError(entry)

    def go_to_reading(self, trial: int, entry: str = "", position: str = "") -> None:
        """Arm a reading of a trial, by default the first after its sides; an earlier trial is opened for it."""
        if self._state is not None and not any(field.trial == trial for field in self.fields()):
            self._opened.add(trial)
            self.show_stage(self._state, is_read_only=self._is_read_only)
        readings = [field for field in self.fields() if field.trial == trial and not is_side(field.entry.key)]
        named = [field for field in readings if field.key[:2] == (entry, position)]
        for field in (named or readings)[:1]:
            field.setFocus(Qt.FocusReason.OtherFocusReason)

    def focusables(self) -> Iterator[QWidget]:
        """Return what takes the focus, in the order it is seen."""
        for key, widget in self._rows.items():
            for field in _fields_of(widget):
                yield from field.focusables()
            if isinstance(widget, TrialLine):
                yield widget.button
            elif key == ("next_trial",):
                yield self.next_trial

    def after(self, field: EntryField) -> QWidget | None:
        """Return where Enter goes from a field: the next field or the next trial; None at the end of the column."""
        stops = [(key, stop) for key, widget in self._rows.items() for stop in _stops_of(widget)]
        at = next(i for i, (_, stop) in enumerate(stops) if stop is field)
        for key, stop in stops[at + 1 :]:
            if isinstance(stop, EntryField):
                return stop
            if key == ("next_trial",) and self._expects_trial():
                return self.next_trial
        return None

    def _expects_trial(self) -> bool:
        """Whether a further trial is the natural next step: none stays yet, and the last has readings."""
        return self.next_trial.isEnabled() and self._state is not None and self._state.accepted is None

    def first_open(self) -> EntryField | None:
        """Return where to begin: what still wants a reading, else whether the last trial stays, else the first.

        An untouched stage is begun at its first field, even where that may stay empty.
        """
        fields = self.fields()
        if not any(field.is_correction for field in fields):
            return fields[0] if fields else None
        for field in fields:
            if field.is_wanted and not field.is_correction:
                return field
        if self._state is not None and self._state.stage.has_trials and self._state.accepted is None:
            return self.field(self._state.stage.accept, "", self._state.trials[-1].number)
        return fields[0] if fields else None
