"""Whether what an archive says can be: names told once, everything pointed at there, histories in order.

Its shape was looked at before, by the schema; here is what a schema cannot say.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from core.exchange.form import UID, unusable
from core.language import tr
from core.quantities import KINDS
from core.records.texts import CLOCK_SKEW, fold, serial_key

Told = Mapping[str, Any]
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
_SIZED = ("ring", "shim", "spacer")


def need_sense(logbook: Told, now: datetime) -> None:
    """Refuse what cannot be.

    Parameters
    ----------
    logbook : mapping
        What ``logbook.json`` holds, of the shape its schema says.
    now : datetime
        The present moment; nothing happened after it.

    Raises
    ------
    InputError
        The first thing found that cannot be, and where.
    """
    for words in _texts(logbook):
        if _UNFIT.search(words):
            raise _contradiction(tr("a text with a sign that cannot be kept"))
    _need_moments(logbook, now)
    _need_shop(logbook)
    uids = {name: _once(logbook[name], name) for name in ("people", "gauges", "customers", "units", "jobs", "parts")}
    cards = _cards(logbook["spec_cards"])
    seen_photos: set[str] = set()
    for job in logbook["jobs"]:
        _need_job(job, uids, cards)
        for photo in job["photos"]:
            _need_new(photo["uid"], seen_photos, tr("photo"))
    for part in logbook["parts"]:
        _need_part(part, uids["gauges"])
    jobs = {None, *uids["jobs"]}
    for move in logbook["moves"]:
        if move["part"] not in uids["parts"] or move["job"] not in jobs:
            raise _contradiction(tr("a piece of the drawer points at something that is not in it"))


def _contradiction(what: str) -> Exception:
    return unusable(tr("The archive contradicts itself: {what}.", what=what))


def _texts(value: Any) -> Iterator[str]:
    """Go through every text, keys included."""
    todo = [value]
    while todo:
        one = todo.pop()
        if isinstance(one, str):
            yield one
        elif isinstance(one, dict):
            todo += one
            todo += one.values()
        elif isinstance(one, list):
            todo += one


def _need_moments(logbook: Told, now: datetime) -> None:
    latest = now + CLOCK_SKEW
    for text in _moments(logbook):
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            raise _contradiction(tr("{text} is no moment", text=text[:40])) from None
        if moment.tzinfo is None:
            raise _contradiction(tr("{text} is no moment", text=text[:40]))
        if moment > latest:
            raise unusable(
                tr(
                    "The archive tells of {moment}, which lies in the future.",
                    moment=f"{moment.astimezone():%Y-%m-%d %H:%M}",
                ),
                tr("Check the clock of this machine, then import it again; nothing was written."),
            )
    for gauge in logbook["gauges"]:
        for check in gauge["checks"]:
            _need_check(check, now)


def _moments(logbook: Told) -> Iterator[str]:
    for job in logbook["jobs"]:
        yield from (event["at"] for event in job["events"])
        yield from (reading["taken_at"] for reading in job["readings"])
        yield from (advised["at"] for advised in job["advised"])
        yield from (photo["at"] for photo in job["photos"])
        yield from (photo["strike"]["at"] for photo in job["photos"] if photo["strike"])
    for part in logbook["parts"]:
        yield from (one["at"] for one in part["measures"])
    yield from (move["at"] for move in logbook["moves"])
    yield from (rule["at"] for rule in logbook["rules"])
    yield from (one["made_at"] for card in logbook["spec_cards"] for one in card["revisions"])
    yield from (check["at"] for gauge in logbook["gauges"] for check in gauge["checks"] if check["what"] == "zero")


def _need_check(check: Told, now: datetime) -> None:
    if check["what"] == "zero":
        is_sound = check["value"] is not None
    else:
        try:
            # East of Greenwich it is tomorrow already.
            is_sound = date.fromisoformat(check["at"]) <= now.date() + timedelta(days=1)
        except ValueError:
            is_sound = False
    if not is_sound:
        raise _contradiction(tr("a check of a gauge without its value, or on a day that cannot be"))


def _need_shop(logbook: Told) -> None:
    _need_distinct([person["name"] for person in logbook["people"]], fold, tr("person"))
    _need_distinct([gauge["name"] for gauge in logbook["gauges"]], fold, tr("gauge"))
    _need_distinct([unit["serial"] for unit in logbook["units"]], serial_key, tr("unit"))
    _need_distinct([job["number"] for job in logbook["jobs"]], fold, tr("job"))
    for gauge in logbook["gauges"]:
        if gauge["kind"] not in KINDS:
            raise unusable(
                tr("Gauge {name} reads something this program does not know.", name=gauge["name"]),
                tr("Install the newer version of the program; nothing was written."),
            )


def _need_distinct(names: Iterable[str], key_of: Any, what: str) -> None:
    seen: set[str] = set()
    for name in names:
        if " ".join(name.split()) != name or not key_of(name):
            raise _contradiction(tr("{name!r} cannot be the name of a {what}", name=name[:40], what=what))
        _need_new(key_of(name), seen, f"{what} {name}")


def _need_new(key: str, seen: set[str], what: str) -> None:
    if key in seen:
        raise _contradiction(tr("{what} comes twice", what=what))
    seen.add(key)


def _once(rows: Iterable[Told], what: str) -> set[str]:
    found: set[str] = set()
    for row in rows:
        # A pattern of the schema lets a line feed at the end pass.
        if not re.fullmatch(UID, row["uid"]):
            raise _contradiction(tr("a stable id that is none"))
        _need_new(row["uid"], found, f"{what} {row['uid']}")
    return found


def _cards(cards: Iterable[Told]) -> set[tuple[str, int]]:
    found: set[tuple[str, int]] = set()
    families: set[str] = set()
    for card in cards:
        _need_distinct([card["family"]], fold, tr("spec card"))
        _need_new(fold(card["family"]), families, tr("spec card {family}", family=card["family"]))
        numbers = [one["revision"] for one in card["revisions"]]
        if numbers != sorted(set(numbers)):
            raise _contradiction(tr("revisions of spec card {family} out of order", family=card["family"]))
        found |= {(card["family"], number) for number in numbers}
        for one in card["revisions"]:
            _need_values(card["family"], one["values"])
    return found


def _need_values(family: str, values: Iterable[Told]) -> None:
    seen: set[str] = set()
    for value in values:
        told = tr("{key} of spec card {family}", key=value["key"], family=family)
        _need_new(f"{value['what']} {value['key']}", seen, told)
        if None not in (value["low"], value["high"]) and value["low"] > value["high"]:
            raise _contradiction(tr("{limit} is upside down", limit=told))


def _need_job(job: Told, uids: Mapping[str, Collection[str]], cards: Collection[tuple[str, int]]) -> None:
    number = job["number"]
    gauges = {reading["gauge"] for reading in job["readings"]} - {None}
    if (
        job["unit"] not in uids["units"]
        or job["customer"] not in uids["customers"]
        or (job["family"], job["card_revision"]) not in cards
        or not gauges <= set(uids["gauges"])
    ):
        raise _contradiction(tr("job {number} points at something that is not in it", number=number))
    happened = [event["what"] for event in job["events"]]
    signing = [what for what in happened if what in ("signed", "reopened")]
    turns = [("signed", "reopened")[at % 2] for at in range(len(signing))]
    if happened[0] != "opened" or happened.count("opened") > 1 or signing != turns:
        raise _contradiction(tr("what happened to job {number} is out of order", number=number))
    # Where in the trail a sheet was issued is a number wherever it is read.
    if not all(event["detail"].get("entry", "0").isdecimal() for event in job["events"]):
        raise _contradiction(tr("a sheet of job {number} was issued nowhere", number=number))
    _need_readings(job)
    for at, one in enumerate(job["advised"], 1):
        if not one["low"] <= one["expected"] <= one["high"]:
            raise _contradiction(
                tr("advice {count} of job {number} expects what its interval does not hold", count=at, number=number)
            )
    for photo in job["photos"]:
        if photo["reading"] is not None and photo["reading"] > len(job["readings"]):
            raise _contradiction(tr("a photo of job {number} shows a reading that is not there", number=number))


def _need_readings(job: Told) -> None:
    """See to it that the readings at each place are one chain, each replacing the one before."""
    last: dict[tuple[str, str, str, int], int] = {}
    for at, reading in enumerate(job["readings"], 1):
        place = (reading["stage"], reading["entry"], reading["position"], reading["trial"])
        if reading["replaces"] != last.get(place):
            raise _contradiction(
                tr("reading {count} of job {number} does not follow on the one before", count=at, number=job["number"])
            )
        last[place] = at


def _need_part(part: Told, gauges: Collection[str]) -> None:
    seen: set[str] = set()
    for one in part["measures"]:
        _need_new(f"{one['round']} {one['place']}", seen, tr("a measured place of a piece in the drawer"))
    if not {one["gauge"] for one in part["measures"]} - {None} <= set(gauges):
        raise _contradiction(tr("a piece of the drawer points at something that is not in it"))
    if part["nominal_mm"] is None and part["kind"] in _SIZED:
        raise _contradiction(tr("a ring, shim or spacer without a thickness"))
    if part["fits"] and part["kind"] != "shim":
        raise _contradiction(tr("a piece that is no shim and is said to fit somewhere"))
