"""The rows of the full record: every reading with its limit, verdict, gauge, person and time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from reportlab.platypus import Flowable, Spacer

from core.facts import SOURCE_WORDS, Limit, Reading
from core.gauges import doubts_words
from core.language import tr
from core.sheet.compare import by_entry
from core.sheet.flow import table
from core.sheet.footnotes import Footnotes, replaced_note
from core.sheet.parts import LONGEST_CELL, Parts, other_units
from core.sheet.style import GRID, QUIET, SMALL, STYLES
from core.sheet.text import NO_BREAK_SPACE, Span, shortened
from core.sheet.values import (
    Written,
    day_and_time,
    short_day,
    time_of_day,
    written,
    written_gauge,
    written_limit,
    written_reading,
)
from core.stages.state import DerivedState, FieldState
from core.stages.worked import working_words
from core.verdict import Answer, Verdict

MOST_STRUCK = 4
"""A cell cannot run over a page, and some readings are corrected again and again."""
LONGEST_NAME = 40
COLUMNS = (0.2, 0.24, 0.165, 0.395)
Line = list[list[Flowable]]


class Rows:
    """Makes one stage's tables; long texts step out of the table, so that they can run over pages."""

    def __init__(self, parts: Parts, notes: Footnotes) -> None:
        self._parts = parts
        self._notes = notes
        self._by_replaced = {r.replaces: r for r in parts.state.context.readings if r.replaces is not None}

    def flowables(self, fields: Iterable[FieldState], derived: Iterable[DerivedState]) -> list[Flowable]:
        """Return tables and texts for these fields and what they come to, in the order of entry."""
        found: list[Flowable] = []
        lines: list[Line] = []
        for group in by_entry(fields):
            if _is_long(group):
                found += [*self._table(lines), *self._long_text(group[0])]
                lines = []
            else:
                lines += self._group(group)
        lines += [self._derived(state) for state in derived if state.value is not None or state.verdict is not None]
        return [*found, *self._table(lines)]

    def _table(self, lines: Sequence[Line]) -> list[Flowable]:
        if not lines:
            return []
        heads = [tr("What"), tr("Read"), tr("Limit"), tr("Verdict")]
        head: Line = [[self._parts.quiet(text)] for text in heads]
        return [table([head, *lines], [self._parts.width * share for share in COLUMNS], heads=1, padding=2)]

    def _group(self, group: Sequence[FieldState]) -> list[Line]:
        """Return the rows of one entry; what repeats from the row above is left blank."""
        entry = group[0].entry
        filled = sum(f.reading is not None for f in group)
        if not filled and not any(f.superseded for f in group):
            return [self._nothing(group[0])] if entry.needed_positions else []
        rows: list[Line] = []
        before: FieldState | None = None
        for field in group:
            is_wanted = filled < entry.needed_positions
            if field.reading is None and not field.superseded and not is_wanted:
                continue
            rows.append(
                [
                    [self._label(field, is_first=not rows)],
                    self._reading(field, before),
                    self._limit(field.limit, entry.kind, entry.unit) if not rows else [],
                    self._verdict(field.verdict, is_missing=field.reading is None, is_told=not entry.choices),
                ]
            )
            before = field
        return rows

    def _nothing(self, field: FieldState) -> Line:
        """Return the one row of an entry that has not been read anywhere."""
        label = self._parts.type.paragraph(STYLES.body, tr(field.entry.label))
        limit = self._limit(field.limit, field.entry.kind, field.entry.unit)
        return [[label], [self._parts.quiet("–")], limit, [self._parts.verdict(Answer.MISSING)]]

    def _label(self, field: FieldState, *, is_first: bool) -> Flowable:
        label, place = tr(field.entry.label), tr(field.position.label)
        if not place:
            return self._parts.type.paragraph(STYLES.body, label)
        if is_first:
            return self._parts.type.paragraph(STYLES.body, f"{label}, {place}")
        return self._parts.type.paragraph(STYLES.body, 4 * NO_BREAK_SPACE + place)

    def _reading(self, field: FieldState, before: FieldState | None) -> list[Flowable]:
        """Return what stands, with what it replaced struck through before it, and who read it when with what."""
        spans: list[str | Span] = []
        spans += self._replaced([old for old in field.superseded if old.text], field)
        if field.reading is not None:
            value = written_reading(field.entry, field.reading, self._parts.system)
            spans += [*self._notes.cut(value.own), *other_units(value)]
        is_as_before = before is not None and _by(before) == _by(field)
        if is_as_before and field.reading is not None:
            # Same gauge, same hand, same day as the place above: only the time is new.
            spans.append(_quiet("  " + time_of_day(field.reading.taken_at)))
        cell: list[Flowable] = [self._parts.type.paragraph(STYLES.body, *(spans or ["–"]))]
        if field.reading is not None and not is_as_before:
            cell.append(self._parts.type.paragraph(STYLES.quiet, *self._by_line(field, field.reading)))
        return cell

    def _replaced(self, olds: Sequence[Reading], field: FieldState) -> list[str | Span]:
        """Return the last few readings that were replaced, struck through; earlier ones are footnotes only."""
        earlier, shown = olds[:-MOST_STRUCK], olds[-MOST_STRUCK:]
        numbers = [self._struck(field, old)[1].text for old in earlier]
        spans: list[str | Span] = [Span(f"{numbers[0]}–{numbers[-1]} ", is_raised=True)] if numbers else []
        for old in shown:
            spans += [*self._struck(field, old), "  "]
        return spans

    def _struck(self, field: FieldState, old: Reading) -> tuple[Span, Span]:
        value = written_reading(field.entry, old, self._parts.system).own
        note = self._notes.add(replaced_note(field.entry, old, self._by_replaced.get(old.id), self._parts.system))
        return Span(shortened(value, LONGEST_CELL), colour=QUIET, is_struck=True), note

    def _by_line(self, field: FieldState, reading: Reading) -> list[str | Span]:
        """Return with what, by whom and when a value was read, and how it came in if not by hand."""
        spans: list[str | Span] = []
        if field.gauge is not None:
            error = written_gauge(field.gauge, self._parts.system)
            doubted = doubts_words(field.doubts)
            spans += [*self._notes.cut(field.gauge.name, LONGEST_NAME), f" {error}"]
            spans += [tr(", {doubts}", doubts=doubted), " · "] if doubted else [" · "]
        spans += self._who_when(reading)
        if reading.source == "typed":
            return spans
        # What another program called its own way is printed as it says.
        return [*spans, " · " + tr(SOURCE_WORDS.get(reading.source, reading.source))]

    def _who_when(self, reading: Reading) -> list[str | Span]:
        who = [*self._notes.cut(reading.person, LONGEST_NAME), " · "] if reading.person else []
        return [*who, day_and_time(reading.taken_at)]

    def _limit(self, limit: Limit | None, kind: str, unit: str) -> list[Flowable]:
        if limit is None:
            return []
        value = written_limit(limit, kind, unit, self._parts.system)
        cell: list[Flowable] = [self._parts.type.paragraph(STYLES.small, value.own)]
        if value.other:
            cell.append(self._parts.quiet(value.other))
        if limit.source:
            cell.append(self._parts.type.paragraph(STYLES.quiet, *self._notes.cut(limit.source)))
        return cell

    def _verdict(self, verdict: Verdict | None, *, is_missing: bool, is_told: bool = True) -> list[Flowable]:
        """Return mark, word and reason; a choice's word says all there is to say."""
        if verdict is None:
            return [self._parts.verdict(Answer.MISSING)] if is_missing else []
        if not (verdict.reason and is_told) or verdict.answer is Answer.MISSING:
            return [self._parts.verdict(verdict.answer)]
        reason = shortened(verdict.reason, 3 * LONGEST_CELL)
        return [self._parts.verdict(verdict.answer, Span("  " + reason, colour=QUIET, size_pt=SMALL - 0.5))]

    def _derived(self, state: DerivedState) -> Line:
        derived = state.derived
        value = Written("–")
        if state.value is not None:
            value = written(derived.kind, state.value, derived.unit, self._parts.system)
        words = self._parts.type.paragraph(STYLES.body, value.own, *other_units(value))
        return [
            [self._parts.type.paragraph(STYLES.body, tr(derived.label))],
            [words, self._parts.quiet(tr("computed"))],
            self._limit(state.limit, derived.kind, derived.unit),
            # The widest column: a formula with its inputs is a long line.
            [*self._verdict(state.verdict, is_missing=False), *self._how(state)],
        ]

    def _how(self, state: DerivedState) -> list[Flowable]:
        """Return how a value came about: inputs, formula and source of a calculation, or why there is no value."""
        how = working_words(state.outcome) if state.outcome is not None else state.trouble
        return [self._parts.type.paragraph(STYLES.quiet, shortened(how, 6 * LONGEST_CELL))] if how else []

    def _long_text(self, field: FieldState) -> list[Flowable]:
        """Return a text too long for a cell: its label, who wrote it, and all of it."""
        found: list[Flowable] = []
        versions = [*field.superseded, *([field.reading] if field.reading else [])]
        for reading in versions:
            if not reading.text:
                continue
            spans: list[str | Span] = [tr(field.entry.label), "  "]
            spans += [_quiet(part) for part in self._who_when(reading)]
            if reading is not field.reading:
                after = self._by_replaced.get(reading.id)
                reason = after.reason if after is not None and after.reason else tr("no reason given")
                spans += [_quiet("  " + tr("replaced")), self._notes.add(tr("Replaced: {reason}", reason=reason))]
            found += [Spacer(0, GRID / 2), self._parts.type.paragraph(STYLES.body, *spans)]
            found += self._parts.type.flow(STYLES.small, reading.text)
        return [*found, Spacer(0, GRID / 2)]


def _quiet(part: str | Span) -> Span:
    return part if isinstance(part, Span) else Span(part, colour=QUIET, size_pt=SMALL)


def _by(field: FieldState) -> tuple[object, ...]:
    """Return gauge, doubts, hand, day and way of a reading: what need not be said again in the row below."""
    reading = field.reading
    if reading is None:
        return ()
    return field.gauge, field.doubts, reading.person, short_day(reading.taken_at), reading.source


def _is_long(group: Sequence[FieldState]) -> bool:
    """Tell whether an entry's words would not fit a cell."""
    field = group[0]
    texts = [r.text for r in (*field.superseded, *([field.reading] if field.reading else []))]
    return (
        len(group) == 1
        and field.entry.kind == "text"
        and any(len(text) > LONGEST_CELL or "\n" in text for text in texts)
    )
