"""What we found beside what we left: rows made from the declarations alone, so that a new entry needs nothing here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from core.language import tr
from core.quantities import KINDS, unit_for
from core.sheet.footnotes import replaced_notes
from core.sheet.values import Written, choice_label, written, written_reading
from core.stages.entry import FOUND, LEFT_AS, Entry
from core.stages.state import DerivedState, FieldState, JobState, StageState
from core.verdict import Answer, overall


@dataclass(frozen=True)
class Side:
    """One half of a row: the value as written, its verdict (None: no limit to answer to), and what it replaced."""

    value: Written
    answer: Answer | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class CompareRow:
    """One row of the customer's page; `is_paired` where both a found and a left entry are declared for it."""

    label: str
    found: Side | None
    left: Side | None
    is_paired: bool


@dataclass
class _Slot:
    label: str = ""
    found: Side | None = None
    left: Side | None = None
    moments: frozenset[str] = frozenset()


def compare(state: JobState, system: str) -> list[CompareRow]:
    """Return the rows of the customer's page, in the order of the stages.

    Parameters
    ----------
    state : JobState
        The judged job; of trials only the accepted one counts as left.
    system : str
        The shop's system of units.

    Returns
    -------
    list of CompareRow
        Only rows with a value; entries that carry a sheet label but no moment count as left.
    """
    slots: dict[str, _Slot] = {}
    for stage in state.stages:
        for key, label, moment, side in _sides(state, stage, system):
            slot = slots.setdefault(key, _Slot())
            slot.label = slot.label or label
            slot.moments |= {moment}
            if moment == FOUND:
                slot.found = side or slot.found
            else:  # a later stage's word on the same thing is the one that left the shop
                slot.left = side or slot.left
    return [
        CompareRow(slot.label, slot.found, slot.left, len(slot.moments) > 1)
        for slot in slots.values()
        if slot.found or slot.left
    ]


def _sides(state: JobState, stage: StageState, system: str) -> Iterable[tuple[str, str, str, Side | None]]:
    """Yield key, label, moment and value of everything of a stage that belongs on the customer's page."""
    accepted = stage.accepted
    fields = (*stage.fields, *(accepted.fields if accepted else ()))
    for group in by_entry(fields):
        entry = group[0].entry
        if entry.sheet_label and not _is_prose(entry):
            key = entry.compares or f"{stage.stage.key}.{entry.key}"
            yield key, tr(entry.sheet_label), entry.moment or LEFT_AS, _of_fields(state, group, system)
    for computed in (*stage.derived, *(accepted.derived if accepted else ())):
        derived = computed.derived
        if derived.sheet_label:
            key = derived.compares or f"{stage.stage.key}.{derived.key}"
            notes = _notes(state, [f for f in fields if f.entry.key == derived.gauge_entry], system)
            yield key, tr(derived.sheet_label), derived.moment or LEFT_AS, _of_derived(computed, notes, system)


def by_entry(fields: Iterable[FieldState]) -> list[list[FieldState]]:
    """Return fields grouped by their entry and trial, in the order of entry."""
    groups: dict[tuple[str, int], list[FieldState]] = {}
    for field in fields:
        groups.setdefault((field.entry.key, field.trial), []).append(field)
    return list(groups.values())


def texts_for_customer(state: JobState) -> list[tuple[str, str]]:
    """Return the free texts that are meant for the customer, each with its label."""
    found = []
    for stage in state.stages:
        for field in (*stage.fields, *(stage.accepted.fields if stage.accepted else ())):
            if field.entry.sheet_label and _is_prose(field.entry) and field.reading:
                found.append((tr(field.entry.sheet_label), field.reading.text))
    return found


def _is_prose(entry: Entry) -> bool:
    """Tell whether an entry is free text about the unit as a whole, rather than a fact found or left."""
    return entry.kind == "text" and not entry.moment


def _notes(state: JobState, fields: Iterable[FieldState], system: str) -> tuple[str, ...]:
    """Return a footnote for every reading that stood at these places before, with its place where there are several."""
    return tuple(
        tr("{place}: {note}", place=tr(field.position.label), note=note) if field.position.label else note
        for field in fields
        for note in replaced_notes(state, field, system)
    )


def _of_derived(computed: DerivedState, notes: tuple[str, ...], system: str) -> Side | None:
    if computed.value is None:
        return None
    derived = computed.derived
    answer = computed.verdict.answer if computed.verdict else None
    return Side(written(derived.kind, computed.value, derived.unit, system), answer, notes)


def _of_fields(state: JobState, fields: Sequence[FieldState], system: str) -> Side | None:
    read = [f for f in fields if f.reading is not None]
    if not read:
        return None
    verdicts = [f.verdict for f in read if f.verdict is not None]
    return Side(_in_one(read, system), overall(verdicts) if verdicts else None, _notes(state, fields, system))


def _in_one(read: Sequence[FieldState], system: str) -> Written:
    """Return several places' readings as one value: a range of numbers, or each answer with its places."""
    entry = read[0].entry
    if not KINDS[entry.kind].is_number:
        return Written(_answers(read))
    ordered = sorted(read, key=lambda f: (f.reading.value or 0.0) if f.reading else 0.0)
    ends = [written_reading(entry, f.reading, system) for f in (ordered[0], ordered[-1]) if f.reading is not None]
    if ends[0].own == ends[-1].own:
        return ends[0]
    label = unit_for(entry.kind, system, entry.unit).label
    low = ends[0].own.removesuffix(label).rstrip() if label else ends[0].own
    return Written(f"{low} – {ends[-1].own}")


def _answers(read: Sequence[FieldState]) -> str:
    """Return the answers given; where they differ, the commonest first and the others with their places."""
    places: dict[str, list[str]] = {}
    for field in read:
        if field.reading is not None:
            answer = choice_label(field.entry.choices, field.reading.text)
            places.setdefault(answer, []).append(tr(field.position.label))
    commonest, *others = sorted(places, key=lambda answer: -len(places[answer]))
    return "; ".join([commonest, *(f"{answer}: {', '.join(places[answer])}" for answer in others)])
