"""What was done, in words: a sentence for each sort of entry of the trail."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from contextlib import suppress

from app.people.section import ROLES
from app.widgets.wording import field_name, value_words
from core.event_words import told as event_words
from core.facts import JobEvent, TrailEntry
from core.gauges import OVERDUE_RULES
from core.language import mark, tr
from core.outlines import outline_words
from core.quantities import KINDS, show
from core.stages import stage
from core.stages.entry import Entry, Position

Tell = Callable[[TrailEntry], str]

TOLD_ELSEWHERE = ""
"""What an entry says whose act another entry tells."""


def told(entry: TrailEntry) -> str:
    """Return what was done as one sentence, or "" where another entry of the same act tells it."""
    tell = SENTENCES.get((entry.table, entry.what), _plainly)
    sentence = tell(entry)
    if entry.doing == "import" and sentence:
        return tr("Imported: {sentence}", sentence=sentence)
    return sentence


def _text(entry: TrailEntry, key: str) -> str:
    value = entry.content.get(key)
    return "" if value is None else str(value)


def _with_reason(sentence: str, reason: str) -> str:
    return tr("{sentence} Reason: {reason}", sentence=sentence, reason=reason) if reason else sentence


def _plainly(entry: TrailEntry) -> str:
    """Tell what no other sentence is made for; nothing that was done is left out."""
    what = tr("added") if entry.what == "added" else tr("changed")
    return tr(
        "{doing}: {table} {row} {what}.",
        doing=entry.doing or tr("not said what"),
        table=entry.table,
        row=entry.row_id,
        what=what,
    )


# -- people ------------------------------------------------------------------------------------------------------------

PEOPLE_DOINGS = {
    "reset_pin": mark("Took the PIN of {name} away."),
    "forget_pin": mark("Took the PIN of {name}, the only owner, away on the command line."),
    "deactivate_person": mark("{name} works here no longer."),
    "reactivate_person": mark("{name} works here again."),
}


def _person_added(entry: TrailEntry) -> str:
    role = tr(dict(ROLES).get(_text(entry, "role"), ""))
    return tr("Added {name}: {role}.", name=_text(entry, "name"), role=role)


def _person_changed(entry: TrailEntry) -> str:
    name, failures = _text(entry, "name"), _text(entry, "pin_failures")
    if entry.doing == "change_role":
        return tr("{name} is now: {role}.", name=name, role=tr(dict(ROLES).get(_text(entry, "role"), "")))
    if entry.doing in PEOPLE_DOINGS:
        return tr(PEOPLE_DOINGS[entry.doing], name=name)
    if failures not in ("", "0"):
        return tr("A wrong PIN for {name}, {count} in a row.", name=name, count=failures)
    if entry.doing == "set_pin":
        return tr("{name} set a PIN.", name=name)
    return tr("The right PIN for {name} after wrong ones.", name=name)


# -- jobs --------------------------------------------------------------------------------------------------------------


def _job_added(entry: TrailEntry) -> str:
    return tr("Opened the job for unit {serial}.", serial=entry.about)


def _job_changed(entry: TrailEntry) -> str:
    return TOLD_ELSEWHERE if entry.doing == "change_job" else _plainly(entry)


def _job_event(entry: TrailEntry) -> str:
    if entry.doing == "new_job":
        return TOLD_ELSEWHERE
    detail = json.loads(_text(entry, "detail") or "{}")
    return event_words(JobEvent(entry.job_id or 0, _text(entry, "what"), entry.at, entry.person, detail))


def _reading(entry: TrailEntry) -> str:
    where, text = _place(entry), _value(entry)
    if not _text(entry, "text"):
        sentence = tr("Took back {where}.", where=where)
    elif entry.content.get("replaces") is None:
        sentence = tr("{where}: {text}", where=where, text=text)
    else:
        sentence = tr("{where}: {text}, instead of what stood there.", where=where, text=text)
    return _with_reason(sentence, _text(entry, "reason"))


def _declared(entry: TrailEntry) -> Entry | None:
    with suppress(KeyError):
        return stage(_text(entry, "stage")).entry(_text(entry, "entry"))
    return None


def _stage_label(entry: TrailEntry) -> str:
    with suppress(KeyError):
        return tr(stage(_text(entry, "stage")).label)
    return _text(entry, "stage")


def _place(entry: TrailEntry) -> str:
    """Return the place of a reading, as a field is called; by its keys where it is declared no longer."""
    declared, position = _declared(entry), _text(entry, "position")
    trial = int(_text(entry, "trial") or 0)
    if declared is None:
        return " ".join(filter(None, (_text(entry, "stage"), _text(entry, "entry"), position)))
    try:
        place = declared.position(position)
    except KeyError:
        place = Position(position, position)
    return tr("{stage}, {field}", stage=_stage_label(entry), field=field_name(declared, place, trial))


def _value(entry: TrailEntry) -> str:
    declared, text, value = _declared(entry), _text(entry, "text"), entry.content.get("value")
    if declared is None:
        return text
    if declared.kind == "outline":
        return outline_words(text)
    if declared.choices:
        return next((tr(choice.label) for choice in declared.choices if choice.key == text), text)
    if isinstance(value, float | int) and KINDS[declared.kind].is_number:
        with suppress(KeyError):
            return value_words(declared.kind, float(value), _text(entry, "unit"))
    return text


def _advised(entry: TrailEntry) -> str:
    """Tell what was advised; the sizes as numbers, since places in the drawer change."""
    places = _text(entry, "places")
    pair = tr(
        "{one} on the ring-gear side, {other} on the opposite side",
        one=_size(entry, "ring_gear_side_mm"),
        other=_size(entry, "opposite_side_mm"),
    )
    return tr(
        "Advised for {stage}, trial {trial}: {pair}. Chance that it conforms: {chance}.",
        stage=_stage_label(entry),
        trial=_text(entry, "trial"),
        pair=f"{pair} ({places})" if places else pair,
        chance=show("ratio", _real(entry, "chance"), "percent", 0),
    )


def _size(entry: TrailEntry, key: str) -> str:
    return value_words("length", _real(entry, key), "mm")


def _real(entry: TrailEntry, key: str) -> float:
    return float(_text(entry, key) or 0.0)


def _photo(entry: TrailEntry) -> str:
    return tr("Added a photo, {stage}: {caption}", stage=_stage_label(entry), caption=_text(entry, "caption") or "–")


def _photo_strike(entry: TrailEntry) -> str:
    return _with_reason(tr("Struck out the photo “{caption}”.", caption=entry.about), _text(entry, "reason"))


# -- gauges and the drawer ---------------------------------------------------------------------------------------------

GAUGE_DOINGS = {
    "retire_gauge": mark("Retired the gauge {name}."),
    "bring_back_gauge": mark("The gauge {name} is in use again."),
    "change_interval": mark("Changed how often the gauge {name} is calibrated."),
}


def _gauge_added(entry: TrailEntry) -> str:
    return tr("Added the gauge {name}.", name=_text(entry, "name"))


def _gauge_changed(entry: TrailEntry) -> str:
    return tr(GAUGE_DOINGS.get(entry.doing, mark("Changed the gauge {name}.")), name=_text(entry, "name"))


def _gauge_check(entry: TrailEntry) -> str:
    if entry.doing == "add_gauge":
        return TOLD_ELSEWHERE
    found = tr("good") if entry.content.get("is_good") else tr("not good")
    if _text(entry, "what") == "zero":
        return tr("Checked the zero of {gauge}: {found}.", gauge=entry.about, found=found)
    return tr("Calibration of {gauge} on {day}: {found}.", gauge=entry.about, day=_text(entry, "at"), found=found)


PART_DOINGS = {
    "change_part": mark("Changed {part}: its name, place, reorder level or where it fits."),
    "retire_part": mark("{part} is kept no longer."),
}
MOVES = {
    "received": mark("Put into the drawer: {pieces} × {part}."),
    "reserved": mark("Took {part} from the drawer for {entry}, trial {trial}."),
    "fitted": mark("{part} is fitted."),
    "unfitted": mark("{part} is fitted no longer."),
    "returned": mark("Put {part} back into the drawer."),
    "used": mark("Used up: {pieces} × {part}."),
    "counted": mark("Counted {part}: {change} to the number of pieces."),
    "scrapped": mark("Scrapped: {pieces} × {part}."),
}


def _part_name(entry: TrailEntry) -> str:
    name, place = _text(entry, "name"), _text(entry, "place")
    return ", ".join(filter(None, (name, place))) or _text(entry, "kind")


def _part_added(entry: TrailEntry) -> str:
    return tr("Added to the drawer: {part}.", part=_part_name(entry))


def _part_changed(entry: TrailEntry) -> str:
    # A count that changed is told by the move that changed it.
    doing = PART_DOINGS.get(entry.doing)
    return tr(doing, part=_part_name(entry)) if doing else TOLD_ELSEWHERE


def _part_measure(entry: TrailEntry) -> str:
    is_first = _text(entry, "place") == "1" and entry.doing != "add_part"
    return tr("Measured {part}.", part=entry.about) if is_first else TOLD_ELSEWHERE


def _part_move(entry: TrailEntry) -> str:
    what, pieces = _text(entry, "what"), int(_text(entry, "pieces") or 0)
    if what == "reserved" and not pieces:
        # The next trial has the piece the job had already: nothing was taken.
        return TOLD_ELSEWHERE
    declared = _declared(entry)
    sentence = tr(
        MOVES.get(what, mark("{part}: {change}.")),
        part=entry.about,
        pieces=abs(pieces),
        change=f"{pieces:+d}",
        entry=tr(declared.label) if declared else _text(entry, "entry"),
        trial=_text(entry, "trial"),
    )
    return _with_reason(sentence, _text(entry, "reason"))


# -- the shop ----------------------------------------------------------------------------------------------------------


def _card(entry: TrailEntry) -> str:
    return tr("Wrote the spec card of {family}, revision {revision}.", family=entry.about,
              revision=_text(entry, "revision"))  # fmt: skip


def _shop(entry: TrailEntry) -> str:
    return tr("Changed name, address or units of the shop.")


def _rule(entry: TrailEntry) -> str:
    key, value = _text(entry, "key"), _text(entry, "value")
    if key == "overdue":
        return tr("Settled, gauges past their calibration: {rule}.", rule=tr(OVERDUE_RULES.get(value, value)))
    if key == "overdue_factor":
        return tr("Settled: the stated error of a gauge past its calibration counts {factor} times.", factor=value)
    return tr("Settled {key}: {value}.", key=key, value=value)


SENTENCES: Mapping[tuple[str, str], Tell] = {
    ("person", "added"): _person_added,
    ("person", "changed"): _person_changed,
    ("job", "added"): _job_added,
    ("job", "changed"): _job_changed,
    ("job_event", "added"): _job_event,
    ("reading", "added"): _reading,
    ("advised", "added"): _advised,
    ("photo", "added"): _photo,
    ("photo_strike", "added"): _photo_strike,
    ("gauge", "added"): _gauge_added,
    ("gauge", "changed"): _gauge_changed,
    ("gauge_check", "added"): _gauge_check,
    ("part", "added"): _part_added,
    ("part", "changed"): _part_changed,
    ("part_measure", "added"): _part_measure,
    ("part_move", "added"): _part_move,
    ("spec_revision", "added"): _card,
    ("shop", "added"): _shop,
    ("shop", "changed"): _shop,
    ("shop_rule", "added"): _rule,
}
"""By table and what was done to the row."""
