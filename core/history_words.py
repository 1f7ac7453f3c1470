"""A unit's history in words: the same sentences on its page, at the bench and on the command line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from core.event_words import copy_words, told
from core.facts import JobEvent, Photo, Reading
from core.gauges import day_of, days_words
from core.history import Replaced, UnitHistory, UnitVisit, Wear, Worth
from core.language import tr
from core.outlines import outline_words
from core.quantities import KINDS, as_typed, number, show, unit_for, width_of
from core.stages import registry
from core.stages.entry import Entry

FINGERPRINT_SHOWN = 12
"""So many digits of a fingerprint tell two sheets apart; the whole of it is on the sheet and in the events."""
NOT_MEASURED = "–"
LONGEST_SHOWN = 80


# -- values ------------------------------------------------------------------------------------------------------------


def shown(worth: Worth | None, units: str) -> str:
    """Return a value in the shop's system of units, or a dash where there is none."""
    if worth is None:
        return NOT_MEASURED
    return show(worth.kind, worth.value, _unit(worth, units))


def _unit(worth: Worth, units: str) -> str:
    return unit_for(worth.kind, units, worth.unit or KINDS[worth.kind].canonical.id).id


def change_words(wear: Wear, units: str) -> str:
    """Return what a value did since the visit before, with its sign."""
    kind, unit = width_of(wear.found.kind, _unit(wear.found, units))
    return _signed(kind, wear.change, unit)


def _signed(kind: str, change: float, unit: str) -> str:
    is_more = float(number(kind, change, unit)) > 0.0
    return ("+" if is_more else "") + show(kind, change, unit)


def doubt_words(wear: Wear, units: str) -> str:
    """Say whether the gauges of both readings can tell them apart."""
    if wear.doubt is None:
        return tr("not both name a gauge, so how sure it is cannot be said")
    kind, unit = width_of(wear.found.kind, _unit(wear.found, units))
    doubt = show(kind, wear.doubt, unit)
    if wear.is_within_doubt:
        return tr("within what the gauges can tell (±{doubt})", doubt=doubt)
    return tr("more than the gauges can be wrong (±{doubt})", doubt=doubt)


def doubt_words_short(wear: Wear) -> str:
    """Say in two words for a cell whether a change is more than the gauges of both readings can be wrong."""
    if wear.doubt is None:
        return tr("not named")
    return tr("cannot tell") if wear.is_within_doubt else tr("can tell")


def since_before_words(wear: Wear, units: str) -> str:
    """Say what a value did since the visit before, and whether that means anything.

    Examples
    --------
    >>> left, found = (Worth("backlash_mean", "Mean backlash", "length", "mm", v, 0.01) for v in (0.08, 0.12))
    >>> since_before_words(Wear(left, found, 730), "metric")
    '+0.040 mm, more than the gauges can be wrong (±0.014 mm)'
    """
    return tr("{change}, {doubt}", change=change_words(wear, units), doubt=doubt_words(wear, units))


# -- readings that were replaced ---------------------------------------------------------------------------------------


def typed_words(entry: Entry | None, reading: Reading) -> str:
    """Return a reading as it was typed, in one line: a bare number with its unit, a choice by its name."""
    text = " ".join(reading.text.split())
    if entry is not None and entry.kind == "outline":
        return outline_words(text)
    if entry is None or reading.value is None or not KINDS[entry.kind].is_number:
        choices = entry.choices if entry is not None else ()
        return _shortened(next((tr(choice.label) for choice in choices if choice.key == text), text))
    return as_typed(entry.kind, text, reading.unit) if reading.unit else text


def entry_of(reading: Reading) -> Entry | None:
    """Return the entry a reading was taken for, or None where this program no longer asks for it."""
    for stage in registry.STAGES:
        for entry in stage.entries:
            if (stage.key, entry.key) == (reading.stage, reading.entry):
                return entry
    return None


def place_words(reading: Reading) -> str:
    """Return where a reading was taken: stage, entry, place and trial."""
    entry = entry_of(reading)
    stage = next((tr(stage.label) for stage in registry.STAGES if stage.key == reading.stage), reading.stage)
    parts = [stage, tr(entry.label) if entry is not None else reading.entry]
    if entry is not None:
        parts += [tr(p.label) for p in entry.positions if p.key == reading.position and p.label]
    if reading.trial:
        parts.append(tr("trial {trial}", trial=reading.trial))
    return ", ".join(parts)


def moment_words(reading: Reading) -> str:
    """Return who wrote a reading, and when by the shop's own clock."""
    when = f"{reading.taken_at.astimezone():%Y-%m-%d %H:%M}"
    return tr("{name}, {when}", name=reading.person or tr("somebody"), when=when)


def replaced_words(replaced: Replaced) -> str:
    """Say what was replaced by what, by whom, when and why."""
    entry = entry_of(replaced.before)
    old, new = typed_words(entry, replaced.before), typed_words(entry, replaced.after)
    if replaced.is_taken_back:
        return tr("{old} {what}", old=old, what=after_words(replaced))
    return tr("{old} became {new}; {what}", old=old, new=new, what=after_words(replaced))


def after_words(replaced: Replaced) -> str:
    """Say that a reading was replaced or taken back, by whom, when and why."""
    reason = " ".join(replaced.after.reason.split()) or tr("no reason given")
    moment = moment_words(replaced.after)
    if replaced.is_taken_back:
        return tr("taken back by {moment}: {reason}", moment=moment, reason=reason)
    return tr("replaced by {moment}: {reason}", moment=moment, reason=reason)


def standing_words(entry: Entry, text: str, reading: Reading | None = None) -> str:
    """Say what stands in the logbook where something else is being typed; `reading` where it is one."""
    if not text:
        return tr("In the logbook nothing stands here any more.")
    if reading is None:
        return tr("In the logbook stands “{text}”.", text=_shortened(text))
    return tr(
        "In the logbook stands {text} ({moment}).", text=typed_words(entry, reading), moment=moment_words(reading)
    )


def _shortened(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= LONGEST_SHOWN else line[: LONGEST_SHOWN - 1].rstrip() + "…"


# -- visits ------------------------------------------------------------------------------------------------------------


def visit_dates(visit: UnitVisit) -> str:
    """Return from when to when a visit was, as year-month-day."""
    job = visit.job
    opened = day_of(job.opened_at).isoformat()
    if job.signed_at is None:
        return tr("since {day}", day=opened)
    return tr("{opened} to {signed}", opened=opened, signed=day_of(job.signed_at).isoformat())


def signed_words(visit: UnitVisit) -> str:
    """Say who signed a visit, and as which revision where there were several."""
    job = visit.job
    if not job.signed_by:
        return tr("Not signed yet")
    if job.revision > 1:
        return tr("Signed by {name}, revision {revision}", name=job.signed_by, revision=job.revision)
    return tr("Signed by {name}", name=job.signed_by)


def card_words(visit: UnitVisit) -> str:
    """Return the spec card revision a visit was judged by."""
    card = visit.job.card
    return tr("{family}, revision {revision}", family=card.family, revision=card.revision)


def since_words(visit: UnitVisit) -> str:
    """Say how long after the visit before this one began; "" for the first."""
    return "" if visit.days_since is None else tr("{days} after the visit before", days=days_words(visit.days_since))


def sheet_words(event: JobEvent) -> str:
    """Return which sheet was issued when, with the beginning of its fingerprint."""
    return tr(
        "{day}: {copy}, revision {revision}, fingerprint {fingerprint}",
        day=day_of(event.at).isoformat(),
        copy=copy_words(event),
        revision=event.detail.get("revision", ""),
        fingerprint=event.detail.get("fingerprint", "")[:FINGERPRINT_SHOWN],
    )


def part_words(visit: UnitVisit) -> list[str]:
    """Return the pieces of the drawer that stayed in the unit."""
    held = [hold.part.called for hold in visit.parts.holds.values() if hold.is_fitted]
    return [*held, *(f"{used.pieces} × {used.part.called}" for used in visit.parts.used)]


def change_lines(visit: UnitVisit) -> list[str]:
    """Return what was corrected, replaced and reopened in a visit, each in a sentence with its day."""
    lines = [
        tr("{day}, {name}: {what}", day=day_of(e.at).isoformat(), name=e.person or tr("somebody"), what=told(e))
        for e in visit.amendments
    ]
    return lines + [tr("{place}: {what}", place=place_words(r.before), what=replaced_words(r)) for r in visit.replaced]


def photo_words(photo: Photo) -> str:
    """Return what a photo shows, where it belongs and when it was taken; one struck says why."""
    stage = next((tr(stage.label) for stage in registry.STAGES if stage.key == photo.stage), photo.stage)
    words = ", ".join(part for part in (photo.caption or stage, day_of(photo.at).isoformat()) if part)
    if photo.struck_at is not None:
        return tr("{photo} (struck: {reason})", photo=words, reason=photo.strike_reason)
    return words


# -- all of it as text -------------------------------------------------------------------------------------------------


def count_words(history: UnitHistory) -> str:
    """Return the unit and how often it was here."""
    if len(history.visits) == 1:
        return tr("Unit {serial}, first time here", serial=history.serial)
    return tr("Unit {serial}, {count} visits", serial=history.serial, count=len(history.visits))


def history_lines(history: UnitHistory, units: str) -> Iterator[str]:
    """Yield a unit's history as lines of text, oldest visit first.

    Parameters
    ----------
    history : UnitHistory
        The unit's visits.
    units : str
        The shop's system of units.
    """
    yield count_words(history)
    for visit in history.visits:
        yield ""
        yield from _visit_lines(visit, history.followed, units)


def _visit_lines(visit: UnitVisit, followed: Sequence[Worth], units: str) -> Iterator[str]:
    job = visit.job
    head = tr("Job {number}, {dates}", number=job.number, dates=visit_dates(visit))
    yield "; ".join(part for part in (head, since_words(visit), signed_words(visit)) if part)
    for label, text in (
        (tr("Customer"), job.customer),
        (tr("Vehicle"), job.vehicle),
        (tr("Asked for"), " ".join(job.asked_for.split())),
        (tr("Spec card"), card_words(visit)),
        (tr("Oil"), ", ".join(visit.oil)),
        (tr("Parts fitted"), "; ".join(part_words(visit))),
    ):
        if text:
            yield f"  {label}: {text}"
    yield from _table(visit, followed, units)
    for heading, lines in (
        (tr("Sheets issued"), [sheet_words(event) for event in visit.sheets]),
        (tr("Corrected, replaced, reopened"), change_lines(visit)),
        (tr("Photos"), [photo_words(photo) for photo in visit.photos]),
    ):
        if lines:
            yield f"  {heading}:"
            yield from (f"    {line}" for line in lines)


def _table(visit: UnitVisit, followed: Sequence[Worth], units: str) -> Iterator[str]:
    seen = [w for w in followed if w.key in visit.visit.found or w.key in visit.visit.left]
    if not seen:
        yield "  " + tr("Nothing was measured that is followed from visit to visit.")
        return
    rows = [(tr("Measured"), tr("found"), tr("left"), tr("since the visit before"))]
    for worth in seen:
        wear = visit.wear.get(worth.key)
        rows.append(
            (
                tr(worth.label),
                shown(visit.visit.found.get(worth.key), units),
                shown(visit.visit.left.get(worth.key), units),
                "" if wear is None else since_before_words(wear, units),
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(3)]
    for label, found, left, since in rows:
        yield f"  {label:<{widths[0]}}  {found:>{widths[1]}}  {left:>{widths[2]}}  {since}".rstrip()
