"""Footnotes of one section: why a reading was replaced, and the full words of what was cut short in a cell."""

from __future__ import annotations

from reportlab.platypus import Flowable, Spacer

from core.sheet.parts import LONGEST_CELL, Parts
from core.sheet.style import GRID, STYLES
from core.sheet.text import Span, shortened


class Footnotes:
    """Collects the footnotes of a section while its tables are made."""

    def __init__(self, parts: Parts) -> None:
        self._parts = parts
        self._texts: list[str] = []

    def add(self, text: str) -> Span:
        """Take a footnote and return its raised number."""
        self._texts.append(text)
        return Span(str(len(self._texts)), is_raised=True, colour=STYLES.quiet.textColor)

    def cut(self, text: str) -> list[str | Span]:
        """Return a text fit for a cell; where it is cut short, the whole of it becomes a footnote."""
        short = shortened(text.replace("\n", " "), LONGEST_CELL)
        return [short] if short == text else [short, self.add(text)]

    def flowables(self) -> list[Flowable]:
        """Return the footnotes as paragraphs that may run over pages."""
        if not self._texts:
            return []
        found: list[Flowable] = [Spacer(0, GRID / 2)]
        for number, text in enumerate(self._texts, start=1):
            found += self._parts.type.flow(STYLES.quiet, f"{number}  {text}")
        return found
