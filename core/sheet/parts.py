"""What both parts of the sheet are made with: the typesetter, the shop's units, the width of the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from reportlab.platypus import Flowable, Spacer

from core.facts import Advised, JobEvent, Shop
from core.language import tr
from core.photos import PrintedPhoto
from core.sheet.figures import FIGURES, PRINT_PALETTE, NothingYet, figure
from core.sheet.flow import Marked, table
from core.sheet.seal import Seal
from core.sheet.style import GRID, QUIET, SMALL, STYLES
from core.sheet.text import Span, Typesetter, shortened
from core.sheet.values import Written
from core.stages.state import JobState, StageState
from core.verdict import ANSWER_WORDS, Answer

LONGEST_CELL = 90
"""A cell cannot run over a page: longer texts are cut short in it and set in full below the table."""

MOST_NAMED = 24
"""Code points named in the footnote; a page of foreign script would otherwise fill another with numbers."""


@dataclass
class Parts:
    """One sheet in the making."""

    state: JobState
    shop: Shop
    events: Sequence[JobEvent]
    width: float
    made_at: datetime
    seal: Seal
    photos: Sequence[PrintedPhoto] = ()
    advised: Sequence[Advised] = ()
    type: Typesetter = field(default_factory=Typesetter)

    @property
    def system(self) -> str:
        """The shop's system of units."""
        return self.shop.units

    def verdict(self, answer: Answer, *more: str | Span) -> Flowable:
        """Return a verdict's mark and word, and what else stands on the same lines."""
        return Marked(answer, self.type.paragraph(STYLES.small, tr(ANSWER_WORDS[answer]), *more))

    def small(self, text: str) -> Flowable:
        """Return a short text in small type."""
        return self.type.paragraph(STYLES.small, shortened(text, LONGEST_CELL))

    def quiet(self, text: str) -> Flowable:
        """Return a short text in small grey type."""
        return self.type.paragraph(STYLES.quiet, shortened(text, LONGEST_CELL))


def other_units(value: Written) -> list[Span]:
    """Return what stands in grey behind a value: the other system's, and what was typed in a third unit."""
    spans = [Span(f"  {value.other}", colour=QUIET, size_pt=SMALL)] if value.other else []
    if value.typed:
        spans.append(Span("  " + tr("typed {typed}", typed=shortened(value.typed, 40)), colour=QUIET, size_pt=SMALL))
    return spans


def figures_in_a_row(
    parts: Parts, stage: StageState, shares: Sequence[tuple[str, float]], height: float
) -> list[Flowable]:
    """Return figures side by side, each with its share of the page's width; what is not measured yet is left out."""
    drawings, widths = [], []
    for name, share in shares:
        width = parts.width * share
        size = width - 2 * GRID, height
        drawn = figure(name, stage, parts.state, PRINT_PALETTE, size, parts.system) if name in FIGURES else None
        if drawn is not None and not isinstance(drawn, NothingYet):
            drawings.append(drawn)
            widths.append(width)
    return [table([drawings], widths, is_lined=False, padding=GRID / 2)] if drawings else []


def missing_note(parts: Parts) -> list[Flowable]:
    """Return the footnote on characters that could not be shown; call it once everything else has been set."""
    missing = sorted(parts.type.missing, key=lambda code: int(code[2:], 16))
    if not missing:
        return []
    named = ", ".join(missing[:MOST_NAMED]) + (" …" if len(missing) > MOST_NAMED else "")
    text = tr(
        "Characters this sheet's typeface cannot show are printed as their Unicode code points: {codes}.", codes=named
    )
    return [Spacer(0, GRID), *parts.type.flow(STYLES.quiet, text)]
