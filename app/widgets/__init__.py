"""The parts pages are made of: fields, marks, figures and sentences."""

from app.widgets.entry_field import EntryField
from app.widgets.figure_view import FigureView
from app.widgets.flow import FlowLayout
from app.widgets.marks import StageMarks, VerdictMark, paint_mark
from app.widgets.sentences import CautionBox, NextThing

__all__ = [
    "CautionBox",
    "EntryField",
    "FigureView",
    "FlowLayout",
    "NextThing",
    "StageMarks",
    "VerdictMark",
    "paint_mark",
]
