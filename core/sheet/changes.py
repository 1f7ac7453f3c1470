"""What happened to a job, in sentences: its events, and what changed since it was last signed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from core.facts import JobEvent
from core.language import mark, tr
from core.sheet.values import day, day_and_time
from core.stages.state import JobState

_FIELDS = {
    "customer": mark("customer"),
    "contact": mark("contact"),
    "vehicle": mark("vehicle"),
    "asked_for": mark("what was asked for"),
}
_COPIES = {"customer": mark("customer's copy"), "shop": mark("shop's copy")}


def told(event: JobEvent) -> str:
    """Return what happened as one sentence without date and name."""
    detail = event.detail
    reason = detail.get("reason", "")
    if event.what == "opened":
        return tr("Opened.")
    if event.what == "signed":
        return _signed(detail.get("revision", ""), detail.get("pin", ""))
    if event.what == "reopened":
        return tr("Reopened as revision {revision}: {reason}", revision=detail.get("revision", ""), reason=reason)
    if event.what == "corrected":
        return _corrected(event)
    if event.what == "sheet":
        copy = detail.get("copy", "")
        return tr(
            "Sheet issued, {copy}, fingerprint {fingerprint}",
            copy=tr(_COPIES.get(copy, copy)),
            fingerprint=detail.get("fingerprint", ""),
        )
    more = "; ".join(f"{key}: {value}" for key, value in detail.items())
    return f"{event.what}: {more}" if more else event.what


def _signed(revision: str, pin: str) -> str:
    if pin == "given":
        return tr("Signed as revision {revision}, with the PIN.", revision=revision)
    if pin == "none":
        return tr("Signed as revision {revision}, by name.", revision=revision)
    return tr("Signed as revision {revision}.", revision=revision)


def _corrected(event: JobEvent) -> str:
    detail = event.detail
    field = detail.get("field", "")
    sentence = tr(
        "Corrected {field}: {old} became {new}.",
        field=tr(_FIELDS.get(field, field)),
        old=_quoted(detail.get("old", "")),
        new=_quoted(detail.get("new", "")),
    )
    reason = detail.get("reason", "")
    return f"{sentence} {tr('Reason: {reason}', reason=reason)}" if reason else sentence


def _quoted(text: str) -> str:
    return f"“{text}”" if text else tr("nothing")


def dated(event: JobEvent) -> str:
    """Return when something happened and who did it."""
    return f"{day_and_time(event.at)}, {event.person}" if event.person else day_and_time(event.at)


def since_last_signing(state: JobState, events: Sequence[JobEvent]) -> list[str]:
    """Return what changed since the job was last signed and handed over; empty for its first revision."""
    job = state.context.job
    reopened = [e for e in events if e.what == "reopened"]
    if job.revision <= 1 or not (reopened or job.reopen_reason):
        return []
    since = reopened[-1].at if reopened else None
    reason = reopened[-1].detail.get("reason", job.reopen_reason) if reopened else job.reopen_reason
    found = [tr("Reopened: {reason}", reason=reason)] if reason else []
    if since is None:
        return found
    found += [_corrected(e) for e in events if e.what == "corrected" and e.at >= since]
    found += _readings_since(state, since)
    return found


def _readings_since(state: JobState, since: datetime) -> list[str]:
    labels: dict[str, None] = {}
    for stage in state.stages:
        for field in (*stage.fields, *(f for t in stage.trials for f in t.fields)):
            if field.reading is not None and field.reading.taken_at >= since:
                labels[f"{tr(stage.stage.label)}, {tr(field.entry.label)}"] = None
    return [tr("Entered anew: {what}.", what="; ".join(labels))] if labels else []


def signed_line(state: JobState) -> str:
    """Return who signed and when, or that nobody has."""
    job = state.context.job
    if job.signed_at is None:
        return tr("Not signed yet: this is a draft.")
    if job.signed_with_pin:
        return tr("Signed by {name} with PIN on {day}", name=job.signed_by, day=day(job.signed_at))
    return tr("Signed by {name} on {day}", name=job.signed_by, day=day(job.signed_at))
