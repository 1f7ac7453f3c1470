"""Whether the logbook is whole: every row against the trail, the trail against itself, the drawer against its moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.errors import UserError
from core.language import mark, tr
from core.workshop.base import Base

STOCK = "stock"

MEANINGS = {
    "altered": mark(
        "Something other than this program changed what stands there. What was entered is what the trail says."
    ),
    "slipped_in": mark("Something other than this program wrote it; nobody entered it."),
    "missing": mark("Something other than this program took it out, though it was entered."),
    "gap": mark("A part of what was done was taken out of the trail; what was entered then can be proved no more."),
    "rewritten": mark("The trail itself was changed: what it says of that entry proves nothing any more."),
    "guard": mark(
        "It keeps other programs from changing what was entered; without it they may have done so unhindered."
    ),
    "file": mark("The disk, or a copy that broke off, spoiled the file; the program did not write it so."),
    STOCK: mark("The number of free pieces was changed past the drawer's moves: count the pieces and correct it."),
}
"""What each kind of finding means for whoever reads it."""


@dataclass(frozen=True)
class Found:
    """Something that does not agree, and what that means; both in words."""

    id: int
    sentence: str
    meaning: str


@dataclass(frozen=True)
class LogbookAnswer:
    """What a check of the whole logbook came to; `head` is the last entry of the trail and its chain."""

    found: Sequence[Found]
    rows: int
    entries: int
    head: tuple[int, str]

    @property
    def is_whole(self) -> bool:
        """Whether everything agrees."""
        return not self.found

    @property
    def counted(self) -> str:
        """How much was compared, and how much of it does not agree."""
        return tr(
            "{rows} rows against {entries} entries of the trail: {count} do not agree.",
            rows=self.rows,
            entries=self.entries,
            count=len(self.found),
        )

    @property
    def end(self) -> str:
        """Where the trail ends, to be held against paper."""
        entry, chain = self.head
        return tr("The trail ends with entry {entry}, chain {chain}.", entry=entry, chain=chain)


class Checking(Base):
    """What can be asked of the whole logbook."""

    def check_logbook(self) -> LogbookAnswer:
        """Compare every row with the trail, the trail with itself, and the pieces in the drawer with their moves.

        Raises
        ------
        LogbookError
            It cannot be read.
        """
        checked = self._logbook.verify()
        try:
            with self._logbook.look() as work:
                stock = work.stock_disagreements()
        except UserError:
            # A row so altered that it is none any more must not keep what was found from being told.
            if not checked.findings:
                raise
            stock = []
        told = [(str(finding), finding.kind) for finding in checked.findings] + [(said, STOCK) for said in stock]
        found = tuple(Found(at, sentence, tr(MEANINGS[kind])) for at, (sentence, kind) in enumerate(told))
        return LogbookAnswer(found, checked.rows, checked.entries, checked.head)
