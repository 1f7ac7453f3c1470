"""Learning to read the contact pattern: questions on invented sets, answered by eye and judged by the model.

`question` draws a set, puts its gears somewhere and works out what every move would do; `grading` says what an answer
is worth, `words` why, `sitting` keeps the score.
"""

from core.practice.grading import Answer, Grade, Graded, Says, grade
from core.practice.question import LEAVE, STEPS_MM, Level, Look, Question, Setting, question
from core.practice.rough import flecks, rough_rings
from core.practice.sitting import IN_A_ROW, Sitting

__all__ = [
    "IN_A_ROW",
    "LEAVE",
    "STEPS_MM",
    "Answer",
    "Grade",
    "Graded",
    "Level",
    "Look",
    "Question",
    "Says",
    "Setting",
    "Sitting",
    "flecks",
    "grade",
    "question",
    "rough_rings",
]
