"""Footnotes of one section: why a reading was replaced, and the full words of what was cut short in a cell."""

from __future__ import annotations

from reportlab.platypus import Flowable, Spacer

from core.facts import Reading
from core.language import mark, tr
from core.sheet.parts import LONGEST_CELL, Parts
from core.sheet.style import GRID, STYLES
from core.sheet.text import ELLIPSIS, Span, shortened
from core.sheet.values import day_and_time, written_reading
from core.stages.entry import Entry
from core.stages.state import FieldState, JobState


def replaced_note(entry: Entry, old: Reading, after: Reading | None, system: str) -> str:
    """Return the footnote on a reading that stands no more: what it was, who took it when, and why it was replaced.

    Parameters
    ----------
    entry : Entry
        What it was read for.
    old, after : Reading
        The reading, and the one that took its place (None where that is not known).
    system : str
        The shop's system of units.
    """
    sentence = mark("{value}, {when}, was replaced: {reason}")
    if after is not None and not after.text:
        sentence = mark("{value}, {when}, was withdrawn: {reason}")
    return tr(
        sentence,
        value=written_reading(entry, old, system).own,
        when=" · ".join(part for part in (old.person, day_and_time(old.taken_at)) if part),
        reason=after.reason if after is not None and after.reason else tr("no reason given"),
    )


def replaced_notes(state: JobState, field: FieldState, system: str) -> list[str]:
    """Return the footnotes on all readings that stood at a place before, oldest first."""
    olds = [old for old in field.superseded if old.text]
    if not olds:
        return []
    after = {reading.replaces: reading for reading in state.context.readings}
    return [replaced_note(field.entry, old, after.get(old.id), system) for old in olds]


class Footnotes:
    """Collects the footnotes of a section while its tables are made; beyond `most` they share one that says so."""

    def __init__(self, parts: Parts, most: int | None = None) -> None:
        self._parts = parts
        self._most = most
        self._numbers: dict[str, int] = {}

    def add(self, text: str) -> Span:
        """Take a footnote and return its raised number; the same words share one."""
        if self._most is not None and len(self._numbers) >= self._most and text not in self._numbers:
            text = tr("More readings were corrected; every one of them stands in the shop's record.")
        number = self._numbers.setdefault(text, len(self._numbers) + 1)
        return Span(str(number), is_raised=True, colour=STYLES.quiet.textColor)

    def cut(self, text: str, most: int = LONGEST_CELL) -> list[str | Span]:
        """Return a text fit for a cell; where it is cut short, the whole of it becomes a footnote."""
        short = shortened(text, most)
        return [short, self.add(text)] if short.endswith(ELLIPSIS) and short != text else [short]

    def flowables(self) -> list[Flowable]:
        """Return the footnotes as paragraphs that may run over pages."""
        if not self._numbers:
            return []
        found: list[Flowable] = [Spacer(0, GRID / 2)]
        for text, number in self._numbers.items():
            found += self._parts.type.flow(STYLES.quiet, f"{number}  {text}")
        return found
