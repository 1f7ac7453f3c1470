"""What happened to a job, in sentences: its events, and what changed since it was last signed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from core.event_words import corrected, told
from core.facts import JobEvent, Photo, Reading
from core.history import Change, changes_since
from core.history_words import entry_of, place_words, typed_words
from core.language import mark, tr
from core.sheet.text import shortened
from core.sheet.values import day, day_and_time
from core.stages.entry import Entry
from core.stages.state import JobState

__all__ = ["dated", "signed_line", "since_last_signing", "told"]

LONGEST_VALUE = 60
MOST_NAMED = 12
"""So many changed places are named one by one; of more only how many there are."""


def dated(event: JobEvent) -> str:
    """Return when something happened and who did it."""
    return f"{day_and_time(event.at)}, {event.person}" if event.person else day_and_time(event.at)


def since_last_signing(
    state: JobState, events: Sequence[JobEvent], photos: Iterable[Photo] = (), *, most: int = MOST_NAMED
) -> list[str]:
    """Return what changed since the job was last signed and handed over; empty for its first revision.

    Parameters
    ----------
    state : JobState
        The judged job.
    events : sequence of JobEvent
        What happened to it, oldest first.
    photos : iterable of Photo
        Its photos.
    most : int
        How many changed readings are named one by one, of each sort.
    """
    job = state.context.job
    reopened = [e for e in events if e.what == "reopened"]
    if job.revision <= 1 or not (reopened or job.reopen_reason):
        return []
    reason = reopened[-1].detail.get("reason", job.reopen_reason) if reopened else job.reopen_reason
    found = [tr("Reopened: {reason}", reason=reason)] if reason else []
    if not reopened:
        return found
    since = reopened[-1].at
    found += [corrected(e) for e in events if e.what == "corrected" and e.at >= since]
    found += _readings(changes_since(state.context.readings, since), most)
    return found + _photos(photos, since)


def _readings(changes: Sequence[Change], most: int) -> list[str]:
    """Return what was added, changed and taken back, each sort in a sentence of its own."""
    sorts = (
        (mark("Added: {what}."), [c for c in changes if c.before is None]),
        (mark("Changed: {what}."), [c for c in changes if c.before is not None and c.now is not None]),
        (mark("Taken back: {what}."), [c for c in changes if c.now is None]),
    )
    found = []
    for sentence, some in sorts:
        named = [_change(change) for change in some[:most]]
        if len(some) > most:
            named.append(tr("and {count} more", count=len(some) - most))
        if named:
            found.append(tr(sentence, what="; ".join(named)))
    return found


def _change(change: Change) -> str:
    place, entry = place_words(change.reading), entry_of(change.reading)
    before, now = _value(entry, change.before), _value(entry, change.now)
    if change.before is None:
        return f"{place}: {now}"
    if change.now is None:
        return tr("{place}, which was {before}", place=place, before=before)
    return tr("{place}, from {before} to {now}", place=place, before=before, now=now)


def _value(entry: Entry | None, reading: Reading | None) -> str:
    return "" if reading is None else shortened(typed_words(entry, reading), LONGEST_VALUE)


def _photos(photos: Iterable[Photo], since: datetime) -> list[str]:
    all_photos = list(photos)
    added = sum(photo.at >= since for photo in all_photos)
    struck = sum(photo.struck_at is not None and photo.struck_at >= since for photo in all_photos)
    return [
        *([tr("Photos added: {count}.", count=added)] if added else []),
        *([tr("Photos struck: {count}.", count=struck)] if struck else []),
    ]


def signed_line(state: JobState) -> str:
    """Return who signed and when, or that nobody has."""
    job = state.context.job
    if job.signed_at is None:
        return tr("Not signed yet: this is a draft.")
    if job.signed_with_pin:
        return tr("Signed by {name} with PIN on {day}", name=job.signed_by, day=day(job.signed_at))
    return tr("Signed by {name} on {day}", name=job.signed_by, day=day(job.signed_at))
