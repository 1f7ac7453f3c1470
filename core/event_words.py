"""What happened to a job, in sentences without date and name: the same on a page, on paper and in a terminal."""

from __future__ import annotations

from core.facts import JobEvent
from core.language import mark, tr

FIELDS = {
    "customer": mark("customer"),
    "contact": mark("contact"),
    "vehicle": mark("vehicle"),
    "asked_for": mark("what was asked for"),
}
COPIES = {"customer": mark("customer's copy"), "shop": mark("shop's copy")}


def told(event: JobEvent) -> str:
    """Return what happened as one sentence without date and name."""
    detail = event.detail
    reason, revision = detail.get("reason", ""), detail.get("revision", "")
    if event.what == "opened":
        return tr("Opened.")
    if event.what == "signed":
        return _signed(revision, detail.get("pin", ""))
    if event.what == "reopened":
        return tr("Reopened as revision {revision}: {reason}", revision=revision, reason=reason)
    if event.what == "corrected":
        return corrected(event)
    if event.what == "sheet":
        return tr(
            "Sheet issued, {copy}, fingerprint {fingerprint}",
            copy=copy_words(event),
            fingerprint=detail.get("fingerprint", ""),
        )
    more = "; ".join(f"{key}: {value}" for key, value in detail.items())
    return f"{event.what}: {more}" if more else event.what


def copy_words(event: JobEvent) -> str:
    """Return whose copy of a sheet was issued."""
    copy = event.detail.get("copy", "")
    return tr(COPIES.get(copy, copy))


def _signed(revision: str, pin: str) -> str:
    if pin == "given":
        return tr("Signed as revision {revision}, with the PIN.", revision=revision)
    if pin == "none":
        return tr("Signed as revision {revision}, by name.", revision=revision)
    return tr("Signed as revision {revision}.", revision=revision)


def corrected(event: JobEvent) -> str:
    """Return which words of a job became which others, and why."""
    detail = event.detail
    field = detail.get("field", "")
    sentence = tr(
        "Corrected {field}: {old} became {new}.",
        field=tr(FIELDS.get(field, field)),
        old=_quoted(detail.get("old", "")),
        new=_quoted(detail.get("new", "")),
    )
    reason = detail.get("reason", "")
    return f"{sentence} {tr('Reason: {reason}', reason=reason)}" if reason else sentence


def _quoted(text: str) -> str:
    return f"“{text}”" if text else tr("nothing")
