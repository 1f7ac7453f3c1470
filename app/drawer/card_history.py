"""The revisions of a spec card, what each changed, and what a card from a file would change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.drawer.section import cell_columns
from app.jobs.form import button, unsaid
from app.jobs.panes import Panes, list_pane
from app.jobs.rows import RowsView
from app.theme import GRID
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from core.card_changes import CardChange, count_in_words, in_words
from core.facts import CardRevision
from core.language import mark, tr
from core.workshop import Workshop
from core.workshop.cards import CardTaken

LEAST_LINES = 3
"""How many lines of changes are always in view."""
LEAST_DIGITS = 70


class ChangeList(QScrollArea):
    """Changes one below the other, whole; the arrow keys scroll where there are more than fit."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._name = name
        self.setMinimumHeight(LEAST_LINES * self.fontMetrics().lineSpacing())
        self.show_lines(())

    def show_lines(self, lines: Sequence[str]) -> None:
        """Show these lines."""
        content = QWidget()
        column = QVBoxLayout(content)
        column.setContentsMargins(0, 0, GRID, 0)
        column.setSpacing(GRID)
        for line in lines:
            column.addWidget(words(line))
        column.addStretch(1)
        self.setWidget(content)
        self.setAccessibleName(self._name)
        self.setAccessibleDescription("\n".join(lines))


@dataclass(frozen=True)
class RevisionLine:
    """One revision in the list; `id` is its number."""

    id: int
    cells: tuple[str, ...]


class CardHistory(QWidget):
    """The revisions of one family's card; the chosen one tells what it changed against the one before."""

    def __init__(self, workshop: Workshop, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._changes: dict[int, tuple[CardChange, ...]] = {}
        columns = cell_columns(
            (mark("Revision"), True), (mark("Made"), False), (mark("By"), False), (mark("Changes"), False), stretched=3
        )
        self.list = RowsView(columns, tr("Revisions"))
        self.heading = words(role="heading")
        self.lines = ChangeList(tr("What changed"))
        # Under the families there is width to spare, beside the card there is height.
        Panes(self.list, list_pane(self.heading, self.lines), LEAST_DIGITS, narrow=(2, 3)).fill(self, above=GRID)
        self.list.chosen.connect(self._show_changes)

    def show_family(self, family: str) -> None:
        """Show the revisions of a family's card, the newest chosen; nothing where there is none yet."""
        revisions = self._workshop.card_revisions(family) if family else []
        self._changes = self._workshop.card_changes(family) if revisions else {}
        with QSignalBlocker(self.list):
            self.list.show_rows([_line(one, self._changes[one.revision]) for one in revisions])
            if revisions:
                self.list.choose(0)
        self.setVisible(bool(revisions))
        self._show_changes(self.list.current())

    def _show_changes(self, line: RevisionLine | None) -> None:
        if line is None:
            say(self.heading, "")
            self.lines.show_lines(())
            return
        found = self._changes[line.id]
        if line.id == min(self._changes):
            say(self.heading, tr("Revision {number} is the first", number=line.id))
            self.lines.show_lines((tr("Limits and facts in it: {count}.", count=len(found)),))
            return
        say(self.heading, tr("What revision {number} changed", number=line.id))
        self.lines.show_lines([in_words(change) for change in found] or [tr("Nothing changed.")])


def _line(one: CardRevision, found: Sequence[CardChange]) -> RevisionLine:
    day = one.made_at.astimezone().date().isoformat()
    changed = tr("the first") if one.revision == 1 else count_in_words(found)
    return RevisionLine(one.revision, (str(one.revision), day, one.made_by, changed))


class CardTaking(QWidget):
    """A card from a file before it is taken in: what it would change, and whether to.

    Signals
    -------
    wanted()
        It is to be taken in.
    left()
        It is not.
    """

    wanted = Signal()
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.heading = words(role="heading")
        self.lines = ChangeList(tr("What the file would change"))
        self.answer = unsaid("refusal")
        self.take = button("", "main")
        self.leave = button(tr("Leave it"), "plain")
        decided, pushes = QWidget(), QWidget()
        row = FlowLayout(pushes)
        row.addWidget(self.take)
        row.addWidget(self.leave)
        below = QVBoxLayout(decided)
        below.setContentsMargins(0, 0, 0, 0)
        below.setSpacing(GRID)
        below.addWidget(self.answer)
        below.addWidget(pushes)
        below.addStretch(1)
        shown = list_pane(self.heading, self.lines)
        Panes(shown, decided, LEAST_DIGITS, wide=(3, 2), narrow=(1, 0)).fill(self, above=GRID)
        self.take.clicked.connect(self.wanted)
        self.leave.clicked.connect(self.left)
        self.hide()

    def show_taken(self, name: str, taken: CardTaken) -> None:
        """Show what taking a file in would change."""
        say(self.answer, "")
        if taken.newest is None:
            say(self.heading, tr("{file}: a card for {family}, new here", file=name, family=taken.family))
            number = 1
        else:
            say(
                self.heading,
                tr(
                    "{file}: {family} against revision {number}",
                    file=name,
                    family=taken.family,
                    number=taken.newest.revision,
                ),
            )
            number = taken.newest.revision + 1
        self.lines.show_lines([in_words(change) for change in taken.changes] or [tr("Nothing differs.")])
        self.take.setText(tr("Take it in as revision {number}", number=number))
        self.take.setVisible(taken.has_news)
        self.show()
        (self.take if taken.has_news else self.leave).setFocus(Qt.FocusReason.OtherFocusReason)
