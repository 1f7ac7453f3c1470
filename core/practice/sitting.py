"""One sitting of the practice: the score, the level, and which question comes next.

It lives in memory and ends with the window. Nothing of it goes into the logbook, which is about units and not about how
well somebody answers, nor into the settings of the bench, which others share: practice that is kept is an examination.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from core.errors import InputError
from core.language import tr
from core.practice.grading import Grade
from core.practice.question import MOST_NUMBER, Level
from core.quantities import parse

IN_A_ROW = 4
"""So many right answers in a row lead to the next level."""


@dataclass(frozen=True)
class Sitting:
    """How it goes; `number` is the seed of the question asked now, `done` are the questions answered so far."""

    number: int
    level: Level = Level.CENTRED
    right: int = 0
    partly: int = 0
    asked: int = 0
    in_a_row: int = 0
    done: frozenset[tuple[Level, int]] = field(default=frozenset())

    @property
    def is_done(self) -> bool:
        """Whether the question asked now was answered before in this sitting: it is not counted once more."""
        return (self.level, self.number) in self.done

    def answered(self, grade: Grade) -> Sitting:
        """Return the sitting after an answer; `number` stays until `next_one`."""
        if self.is_done:
            return self
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
            done=self.done | {(self.level, self.number)},
        )

    def next_one(self) -> Sitting:
        """Return the sitting at its next question."""
        return replace(self, number=self.number + 1)

    def at_level(self, level: Level) -> Sitting:
        """Return the sitting at a level somebody chose, at its next question."""
        return replace(self, level=level, in_a_row=0, number=self.number + 1)

    def at_number(self, typed: str) -> Sitting:
        """Return the sitting at a question of its level somebody named by its number.

        Raises
        ------
        InputError
            What was typed is no number of a question.
        """
        number = int(parse("count", typed).value or 0)
        if number > MOST_NUMBER:
            raise InputError(
                tr("There is no question {number}.", number=number),
                tr("Type a whole number up to {most}.", most=MOST_NUMBER),
            )
        return replace(self, number=number)
