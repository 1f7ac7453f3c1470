"""Two tellings of one job: the same, one the beginning of the other, or two that went different ways."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from core.event_words import FIELDS
from core.language import mark, tr
from core.quantities import show
from core.stages import stage

Told = Mapping[str, Any]

FIXED = {
    "unit": mark("unit"),
    "card": mark("spec card"),
    "ring_gear_teeth": mark("ring-gear teeth"),
    "pinion_teeth": mark("pinion teeth"),
    "tag_ratio": mark("ratio on the tag"),
    "is_limited_slip": mark("limited-slip carrier"),
}
"""What never changes in a job once it is opened. Its number is what a shop calls it, and may differ."""
CORRECTED = {name: FIELDS[name] for name in ("customer", "vehicle", "asked_for")}
"""What a correction changes; each is noted in the events."""
LISTS = {
    "events": mark("event {number}"),
    "readings": mark("reading {number}"),
    "advised": mark("advice {number}"),
    "photos": mark("photo {number}"),
}

WORDS = {
    "opened": mark("opened"),
    "signed": mark("signed"),
    "reopened": mark("reopened"),
    "corrected": mark("corrected"),
}


@dataclass(frozen=True)
class Named:
    """What a job points at: told from others by its key, shown by its words."""

    key: str
    words: str = field(compare=False)


@dataclass(frozen=True)
class Difference:
    """One place where two tellings of a job contradict each other, in words."""

    field: str
    ours: str
    theirs: str


@dataclass(frozen=True)
class Comparison:
    """How two tellings of one job stand to each other.

    `differences` are empty unless they contradict each other; `events`, `readings`, `advised` and `photos` are what
    ours lacks, `strikes` the photos known here that were struck there. `takes_fields` says whether theirs corrected
    the job.
    """

    differences: tuple[Difference, ...] = ()
    events: tuple[Told, ...] = ()
    readings: tuple[Told, ...] = ()
    advised: tuple[Told, ...] = ()
    photos: tuple[Told, ...] = ()
    strikes: tuple[Told, ...] = ()
    takes_fields: bool = False

    @property
    def is_nothing(self) -> bool:
        """Whether ours lacks nothing of theirs."""
        lacking = (self.events, self.readings, self.advised, self.photos, self.strikes)
        return not (self.differences or any(lacking))


def compare(ours: Told, theirs: Told) -> Comparison:
    """Compare two tellings of one job.

    Sheets that were issued change nothing in a job: they are added to, whatever else happened.

    Parameters
    ----------
    ours, theirs : mapping
        A job as an archive tells it; unit, customer, spec card (``card``) and gauges are `Named` by the same keys.

    Returns
    -------
    Comparison
        What ours lacks, or where the two contradict each other.
    """
    mine, others = _history(ours), _history(theirs)
    found = [one for name in LISTS for one in _apart(name, mine[name], others[name])]
    found += [_difference(label, name, ours, theirs) for name, label in FIXED.items() if ours[name] != theirs[name]]
    more = {name: others[name][len(mine[name]) :] for name in LISTS}
    less = {name: mine[name][len(others[name]) :] for name in LISTS}
    strikes, unstruck = _strikes(ours, theirs), _strikes(theirs, ours)
    ahead, behind = bool(any(more.values()) or strikes), bool(any(less.values()) or unstruck)
    if ahead and behind and not found:
        found.append(Difference(tr("course"), _course(less, unstruck), _course(more, strikes)))
    found += _uncorrected(ours, theirs, (*more["events"], *less["events"]))
    if found:
        return Comparison(tuple(found))
    return Comparison(
        events=tuple(_further(ours, theirs)),
        readings=tuple(more["readings"]),
        advised=tuple(more["advised"]),
        photos=tuple(theirs["photos"][len(mine["photos"]) :]),
        strikes=tuple(strikes),
        takes_fields=any(event["what"] == "corrected" for event in more["events"]),
    )


def _history(job: Told) -> dict[str, list[Told]]:
    return {
        "events": [event for event in job["events"] if event["what"] != "sheet"],
        "readings": list(job["readings"]),
        "advised": list(job["advised"]),
        # A photo may be struck later; that is looked at apart.
        "photos": [{**photo, "strike": None} for photo in job["photos"]],
    }


def _further(ours: Told, theirs: Told) -> list[Told]:
    """Return the events ours lacks, in their order; sheets are told by what they are, all else by their place."""
    sheets = [event for event in ours["events"] if event["what"] == "sheet"]
    known = len(ours["events"]) - len(sheets)
    found = []
    for event in theirs["events"]:
        if event["what"] == "sheet":
            found += [] if event in sheets else [event]
        else:
            found += [event] if known <= 0 else []
            known -= 1
    return found


def _apart(name: str, ours: Sequence[Told], theirs: Sequence[Told]) -> list[Difference]:
    """Return the first place where two lists part, or nothing where one is the beginning of the other."""
    for at, (mine, other) in enumerate(zip(ours, theirs, strict=False), 1):
        if mine != other:
            said, heard = said_of(name, mine), said_of(name, other)
            if said == heard:
                said, heard = _rest(mine, other), _rest(other, mine)
            return [Difference(tr(LISTS[name], number=at), said, heard)]
    return []


def _strikes(ours: Told, theirs: Told) -> list[Told]:
    """Return the photos known to ours that are struck in theirs only, or otherwise."""
    here = {photo["uid"]: photo["strike"] for photo in ours["photos"]}
    return [
        photo
        for photo in theirs["photos"]
        if photo["strike"] and photo["uid"] in here and here[photo["uid"]] != photo["strike"]
    ]


def _uncorrected(ours: Told, theirs: Told, events: Sequence[Told]) -> list[Difference]:
    """Return the fields that differ though no event tells that they were corrected."""
    corrected = {event["detail"].get("field") for event in events if event["what"] == "corrected"}
    if "contact" in corrected:
        corrected.add("customer")
    return [
        _difference(label, name, ours, theirs)
        for name, label in CORRECTED.items()
        if ours[name] != theirs[name] and name not in corrected
    ]


def _difference(label: str, name: str, ours: Told, theirs: Told) -> Difference:
    return Difference(tr(label), _value(ours[name]), _value(theirs[name]))


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    if isinstance(value, Named):
        return value.words
    return "" if value is None else str(value)


def _course(more: Mapping[str, Sequence[Told]], struck: Sequence[Told]) -> str:
    events = [tr(WORDS[event["what"]]) for event in more["events"]]
    counted = [
        tr("more readings: {count}", count=len(more["readings"])) if more["readings"] else "",
        tr("more advice: {count}", count=len(more["advised"])) if more["advised"] else "",
        tr("more photos: {count}", count=len(more["photos"])) if more["photos"] else "",
        tr("photos struck: {count}", count=len(struck)) if struck else "",
    ]
    return ", ".join(word for word in (*events, *counted) if word)


def said_of(name: str, one: Told) -> str:
    """Return an event, a reading, what was advised or a photo of a job in words."""
    moment = datetime.fromisoformat(one["taken_at" if name == "readings" else "at"])
    when = f"{moment.astimezone():%Y-%m-%d %H:%M}"
    if name == "events":
        words = tr(WORDS.get(one["what"], str(one["what"])))
        new = one["detail"].get("new", "") or one["detail"].get("reason", "")
        words = f"{words} “{new}”" if new else words
    elif name == "readings":
        words = f"{place_of(one)} = {one['text'] or tr('taken back')}"
    elif name == "advised":
        sizes = (show("length", one[side], "mm") for side in ("ring_gear_side_mm", "opposite_side_mm"))
        words = f"{place_of({**one, 'entry': '', 'position': ''})} = {' + '.join(sizes)}"
    else:
        words = f"{place_of(one)} {one['caption']}".strip()
    return tr("{what} ({name}, {when})", what=words, name=one["person"] or tr("nobody"), when=when)


def place_of(one: Told) -> str:
    """Return where in a job something belongs, in words; by its keys where this program does not know them."""
    words = [one["stage"], one["entry"], one["position"]]
    try:
        declared = stage(one["stage"])
        words[0] = tr(declared.label)
        entry = declared.entry(one["entry"])
        words[1], words[2] = tr(entry.label), tr(entry.position(one["position"]).label)
    except KeyError:
        pass
    if one["trial"]:
        words.append(tr("trial {trial}", trial=one["trial"]))
    return ", ".join(word for word in words if word)


def _rest(one: Told, other: Told) -> str:
    """Return what two things that read the same differ in."""
    return ", ".join(f"{key} {_value(value)}" for key, value in one.items() if value != other.get(key))
