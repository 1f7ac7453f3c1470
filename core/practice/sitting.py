"""One sitting of the practice: the score, the level, and which question comes next.

It lives in memory and ends with the window. Nothing of it goes into the logbook, which is about units and not about how
well somebody answers, nor into the settings of the bench, which others share: practice that is kept is an examination.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from core.practice.grading import Grade
from core.practice.question import Level

IN_A_ROW = 4
"""So many right answers in a row lead to the next level."""


@dataclass(frozen=True)
class Sitting:
    """How it goes; `number` is the seed of the question asked now."""

    number: int
    level: Level = Level.CENTRED
    right: int = 0
    partly: int = 0
    asked: int = 0
    in_a_row: int = 0

    def answered(self, grade: Grade) -> Sitting:
        """Return the sitting after an answer; `number` stays until `next_one`."""
        is_right = grade is Grade.FULL
        in_a_row = self.in_a_row + 1 if is_right else 0
        level = self.level
        if in_a_row == IN_A_ROW:
            in_a_row, level = 0, Level(min(level + 1, max(Level)))
        return replace(
            self,
            level=level,
            right=self.right + is_right,
            partly=self.partly + (grade is Grade.PARTLY),
            asked=self.asked + 1,
            in_a_row=in_a_row,
        )

    def next_one(self) -> Sitting:
        """Return the sitting at its next question."""
        return replace(self, number=self.number + 1)

    def at_level(self, level: Level) -> Sitting:
        """Return the sitting at a level somebody chose, at its next question."""
        return replace(self, level=level, in_a_row=0, number=self.number + 1)
