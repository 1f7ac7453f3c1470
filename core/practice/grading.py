"""An answer, what the move in it would do on that set, and what that is worth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from core.errors import InputError
from core.language import tr
from core.practice.question import LEAVE, SETTINGS, WAYS, WELL, Level, Look, Question, Setting, length_mm

BETTER = 0.95
"""All distances together below this share of what they were have become less."""

DETOUR_MM = 0.05
"""So much longer than the shortest move [mm], another one is as good: no print tells them apart."""

SHOWN_MM = 0.10
"""How far a gear is moved to show what a direction does, where no move in that direction makes anything better [mm]."""


class Says(StrEnum):
    """What kind of answer it is."""

    MOVE = "move"
    NOT_CENTRED = "not_centred"
    NO_SETTING = "no_setting"


@dataclass(frozen=True)
class Answer:
    """What somebody says is to be done.

    Of a move `pinion` and `gear` are how far [mm] where that is asked, else only which way: below 0 toward the other
    gear, 0 left as it is, above 0 away from it. A move of neither says that both prints are centred.
    """

    says: Says
    pinion: float = 0.0
    gear: float = 0.0

    @property
    def ways(self) -> tuple[int, int]:
        """Which way pinion and ring gear go: −1 toward, 0 left, +1 away."""
        return ways_of((self.pinion, self.gear))


class Grade(StrEnum):
    """What an answer is worth: it does it, it leaves things better, or it does not."""

    FULL = "full"
    PARTLY = "partly"
    WRONG = "wrong"


@dataclass(frozen=True, eq=False)
class Graded:
    """An answer with its grade; `tried` is the move it was tried with, None where it names none."""

    question: Question
    answer: Answer
    grade: Grade
    tried: Setting | None

    @property
    def after(self) -> Look | None:
        """What is seen after the move that was tried."""
        return None if self.tried is None or self.tried == LEAVE else self.question.looks[self.tried]


def ways_of(setting: Setting) -> tuple[int, int]:
    """Return which way pinion and ring gear go in a setting."""
    pinion, gear = ((way > 0.0) - (way < 0.0) for way in setting)
    return pinion, gear


def grade(question: Question, answer: Answer) -> Graded:
    """Return what an answer is worth.

    Full is an answer that moves no gear that could stay and brings all four centres and the backlash within their
    bands; where only the ways are asked, by hardly more than the shortest move there is. Partly right is one that moves
    a gear the right way and leaves things nearer than they were. Where everything is centred already a move that does
    no harm is partly right, where no setting helps one that leaves things nearer; of a print in two patches no move is
    right, for what it says is not where the gears stand.

    Raises
    ------
    InputError
        For an answer the question does not ask for: "not centred" beyond the first level and anything else than that
        or leaving both on it, or a distance that is none of those there are where it is asked how far.
    """
    _is_asked(question, answer)
    if question.level is Level.CENTRED:
        is_right = (answer.says is Says.MOVE) == (question.now.miss <= WELL)
        return Graded(question, answer, Grade.FULL if is_right else Grade.WRONG, None)
    right = question.right
    if answer.says is Says.NO_SETTING:
        return Graded(question, answer, Grade.FULL if right is None else Grade.WRONG, None)
    tried = _tried(question, answer)
    return Graded(question, answer, _worth(question, answer, tried), tried)


def _is_asked(question: Question, answer: Answer) -> None:
    is_first = question.level is Level.CENTRED
    is_fit = (
        answer.says is Says.NOT_CENTRED or (answer.says is Says.MOVE and answer.ways == (0, 0))
        if is_first
        else answer.says is not Says.NOT_CENTRED
    )
    if question.level is Level.HOW_FAR:
        is_fit = is_fit and answer.pinion in WAYS and answer.gear in WAYS
    if not is_fit:
        raise InputError(tr("This answer was not among those asked for."), tr("Choose one of them."))


def _worth(question: Question, answer: Answer, tried: Setting) -> Grade:
    right, then = question.right, question.looks[tried]
    if question.hollow is not None:
        # A move may bring the common centre of two patches nearer; it heals neither the tooth nor the print.
        return Grade.WRONG
    if right == LEAVE:
        return Grade.FULL if tried == LEAVE else Grade.PARTLY if then.miss <= 1.0 else Grade.WRONG
    if right is not None and _reaches(question, answer, right):
        return Grade.FULL
    is_one_right = right is None or any(
        way and way == other for way, other in zip(answer.ways, ways_of(right), strict=True)
    )
    return Grade.PARTLY if is_one_right and is_better(question, then) else Grade.WRONG


def is_better(question: Question, look: Look) -> bool:
    """Tell whether a move leaves things nearer than they were."""
    return look.distance < BETTER * question.now.distance


def _reaches(question: Question, answer: Answer, right: Setting) -> bool:
    """Tell whether the answer's own move, or a short one in its directions, brings everything within."""
    if any(way and not other for way, other in zip(answer.ways, ways_of(right), strict=True)):
        # The least step of a gear that could stay would hardly be seen, but nothing asks for it.
        return False
    if question.level is Level.HOW_FAR:
        return question.looks[answer.pinion, answer.gear].miss <= 1.0
    longest_mm = length_mm(right) + DETOUR_MM
    return any(question.looks[setting].miss <= 1.0 and length_mm(setting) <= longest_mm for setting in _in_ways(answer))


def _in_ways(answer: Answer) -> Iterator[Setting]:
    """Yield the settings in the directions of an answer, the shortest first."""
    return (setting for setting in SETTINGS if ways_of(setting) == answer.ways)


def _tried(question: Question, answer: Answer) -> Setting:
    """Return the move to try an answer with: its own, or the best one in its directions if that makes it better."""
    if question.level is Level.HOW_FAR:
        return answer.pinion, answer.gear
    best = min(_in_ways(answer), key=lambda setting: question.looks[setting].distance)
    if question.right != LEAVE and is_better(question, question.looks[best]):
        return best
    return SHOWN_MM * answer.ways[0], SHOWN_MM * answer.ways[1]
