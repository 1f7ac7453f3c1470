"""Footnotes of one section: why a reading was replaced, and the full words of what was cut short in a cell."""

from __future__ import annotations

from reportlab.platypus import Flowable, Spacer

from core.sheet.parts import LONGEST_CELL, Parts
from core.sheet.style import GRID, STYLES
from core.sheet.text import ELLIPSIS, Span, shortened


class Footnotes:
    """Collects the footnotes of a section while its tables are made."""

    def __init__(self, parts: Parts) -> None:
        self._parts = parts
        self._numbers: dict[str, int] = {}

    def add(self, text: str) -> Span:
        """Take a footnote and return its raised number; the same words share one."""
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
