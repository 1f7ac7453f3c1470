"""The demo shop: an invented workshop told into a fresh logbook through the same verbs a person uses.

The data are JSON in ``assets/demo``; dates there are days before today, so the demo never looks old. Everything in it
is invented.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Any

from core.demo_axle import Axle, tell_as_advised
from core.drafts import JobDraft
from core.facts import Job, Shop
from core.records import default_file, default_location, open_logbook
from core.shop_inputs import LimitText
from core.stages import stage
from core.stages.entry import Entry
from core.workshop import Workshop, utc_now
from core.workshop.advising import ADVISED
from core.workshop.bench import Typed

LOGBOOK_NAME = "demo-logbook.db"
SHOWN_JOB = "2407"
"""The finished job whose build sheet the demo writes."""
OPENED_DAYS_AGO = 800
CALIBRATES = "Wren Hask"

Happening = tuple[int, Callable[[], object]]
"""What is told some days before today."""


def prepare_demo(folder: Path | None = None) -> tuple[Workshop, Path]:
    """Seed the demo beside the user's own logbook and write its finished job's build sheet.

    Parameters
    ----------
    folder : Path, optional
        Where to keep the demo; default: a folder of its own next to the user's logbook.

    Returns
    -------
    tuple
        The demo's workshop, open, and the path of the PDF.
    """
    own = default_location()
    place = folder or (own if isinstance(own, Path) else default_file()).parent / "demo"
    logbook_path = place / LOGBOOK_NAME
    if not logbook_path.exists():
        # Told into a file aside and renamed, so that an interrupted demo is told anew and never half shown.
        partial = place / (LOGBOOK_NAME + ".partial")
        for leftover in (partial, Path(f"{partial}-wal"), Path(f"{partial}-shm")):
            leftover.unlink(missing_ok=True)
        clock = DemoClock(utc_now())
        # The trail is told at the story's time too, without moving it on.
        logbook = open_logbook(partial, clock=lambda: clock.now)
        tell_demo(Workshop(logbook, clock), clock)
        logbook.close()
        os.replace(partial, logbook_path)
    workshop = Workshop(open_logbook(logbook_path))
    sheet = place / f"build-sheet-{SHOWN_JOB}.pdf"
    workshop.write_sheet(workshop.job(SHOWN_JOB).id, sheet, copy="shop")
    return workshop, sheet


@dataclass
class DemoClock:
    """A clock that is set by the story and moves on a minute each time it is read."""

    today: datetime
    now: datetime = field(default=datetime(2000, 1, 1, tzinfo=UTC))

    def set_days_ago(self, days: int) -> None:
        """Set the clock to eight in the morning, some days before today; it never goes back."""
        day = (self.today - timedelta(days=days)).date()
        self.now = max(self.now, datetime(day.year, day.month, day.day, 8, 0, tzinfo=UTC))

    def __call__(self) -> datetime:
        """Return the moment, a minute after the last."""
        self.now += timedelta(minutes=1)
        return self.now


def _load(name: str) -> Any:
    return json.loads(files("assets").joinpath("demo", f"{name}.json").read_text(encoding="utf-8"))


def tell_demo(workshop: Workshop, clock: DemoClock) -> None:
    """Tell the whole demo shop into an empty logbook, in the order of time, which the trail insists on."""
    clock.set_days_ago(OPENED_DAYS_AGO)
    shop = _load("shop")
    workshop.save_shop(Shop(**shop["shop"]))
    for person in shop["people"]:
        workshop.add_person(person["name"], person["role"])
    gauges, happenings = _tell_gauges(workshop, shop["gauges"], clock.today)
    for part in shop["parts"]:
        texts = (part[key] for key in ("kind", "name", "place", "nominal", "measured", "count", "level"))
        workshop.add_part(
            *texts, gauge_id=gauges["micrometer"], person=shop["people"][-1]["name"], fits=part.get("fits", "")
        )
    for card in _load("spec_cards"):
        _tell_card(workshop, card, shop["people"][0]["name"])
    told = _load("jobs")
    for job in told["jobs"]:
        course = told["courses"][job["like"]]
        happenings.append((job["days_ago"], partial(tell_job, workshop, clock, job, course, gauges)))
    for days_ago, tell in sorted(happenings, key=lambda happening: -happening[0]):
        clock.set_days_ago(days_ago)
        tell()


def _tell_card(workshop: Workshop, card: Mapping[str, Any], person: str) -> None:
    """Write a spec card in as many revisions as it is told in."""
    sources = dict.fromkeys(card["facts"], card["fact_source"])
    for other in (*card["earlier"], {}):
        told = card["limits"] | other.get("limits", {})
        limits = {key: LimitText(**text) for key, text in told.items()}
        facts = card["facts"] | other.get("facts", {})
        workshop.save_card(card["family"], limits, facts, person, fact_sources=sources)


def _tell_gauges(
    workshop: Workshop, gauges: Iterable[Mapping[str, Any]], today: datetime
) -> tuple[dict[str, int], list[Happening]]:
    """Add the gauges; return which one reads an entry, by the entry's key or its gauge use, and the calibrations."""
    used: dict[str, int] = {}
    happenings: list[Happening] = []
    for told in gauges:
        # Back from the last calibration in steps of its interval, each a little before the one before ran out.
        step = 30 * int(told["interval"])
        first, *later = sorted(range(told["days_ago"], OPENED_DAYS_AGO + step, step), reverse=True)
        days = [(today - timedelta(days=days_ago)).date().isoformat() for days_ago in (first, *later)]
        gauge = workshop.add_gauge(
            told["name"], told["use"], told["resolution"], told["error"], days[0], told["interval"]
        )
        for days_ago, day in zip(later, days[1:], strict=True):
            calibrate = partial(
                workshop.calibrate, gauge.id, day, True, certificate=told.get("calibrated_by", ""), person=CALIBRATES
            )
            happenings.append((days_ago, calibrate))
        for key in told.get("entries", [told["use"]]):
            used.setdefault(key, gauge.id)
    return used, happenings


def tell_job(
    workshop: Workshop, clock: DemoClock, told: Mapping[str, Any], course: Iterable[Any], gauges: Mapping[str, int]
) -> Job:
    """Tell one job: intake, its readings up to where it stands, sign-off, and what happened after."""
    cards = {card.family: card for card in workshop.cards()}
    draft = JobDraft(
        number=told["number"],
        serial=told["serial"],
        customer=told["customer"],
        contact=told["contact"],
        vehicle=told["vehicle"],
        asked_for=told["asked_for"],
        ring_gear_teeth=str(told["teeth"][0]),
        pinion_teeth=str(told["teeth"][1]),
        tag_ratio=told["tag"],
        is_limited_slip=told["limited_slip"],
        card_id=cards[told["family"]].id,
    )
    person = told["person"]
    job = workshop.new_job(draft, person)
    for gauge, shown in told.get("zeros", ()):
        workshop.zero_check(gauges[gauge], shown, person)
    axle = Axle(**told["axle"]) if "axle" in told else None
    for block in _until(course, told.get("upto")):
        if axle is None or block["stage"] not in ADVISED or not block.get("trial"):
            tell_block(workshop, job, told, block, gauges)
        elif block["trial"] == 1:
            # Whatever trials the course has: this job goes by the advice.
            tell_as_advised(workshop, job, block["stage"], axle, person, gauges)
    for place, pieces in told.get("used", ()):
        workshop.use_part(job.id, _part_at(workshop, place), pieces, person)
    for photo in told.get("photos", ()):
        _tell_photo(workshop, job, photo, person)
    if told.get("signed"):
        workshop.sign(job.id, person)
    if "reopened" in told:
        _tell_reopening(workshop, clock, job, told["reopened"], person)
    return job


def _tell_photo(workshop: Workshop, job: Job, told: Mapping[str, str], person: str) -> None:
    picture = files("assets").joinpath("demo", "photos", f"{told['picture']}.jpg").read_bytes()
    workshop.add_photo(
        job.id,
        picture,
        stage=told["stage"],
        entry=told.get("entry", ""),
        position=told.get("position", ""),
        caption=told["caption"],
        person=person,
    )


def _until(course: Iterable[Any], last_stage: str | None) -> Iterator[Any]:
    """Yield the blocks of a course up to and with a stage; all of them without one, none for "" ."""
    if last_stage == "":
        return
    reached = False
    for block in course:
        if reached and block["stage"] != last_stage:
            return
        reached = block["stage"] == last_stage
        yield block


def tell_block(
    workshop: Workshop, job: Job, told: Mapping[str, Any], block: Mapping[str, Any], gauges: Mapping[str, int]
) -> None:
    """Tell one block of readings, all of one stage and trial, slips and their corrections included."""
    declared, trial = stage(block["stage"]), block.get("trial", 0)
    readings = []
    for key, typed in block["read"].items():
        entry = declared.entry(key)
        place = f"{declared.key}/{key}" + (f"/{trial}" if trial else "")
        if not entry.applies(job) or place in told.get("drop", ()):
            continue
        piece = told.get("pieces", {}).get(place)
        if piece is not None:
            workshop.take_from_drawer(job.id, declared.key, key, trial, _part_at(workshop, piece), told["person"])
            continue
        for position, text in _placed(entry, told.get("change", {}).get(place, typed)):
            # A slip is told first and then put right, with its reason, as it happened at the bench.
            slip = told.get("slips", {}).get(f"{declared.key}/{key}/{position}/{trial}")
            versions = [(text, "")] if slip is None else [(slip[0], ""), (text, slip[1])]
            gauge_id = gauges.get(key, gauges.get(entry.gauge))
            readings += [Typed(key, version, position, gauge_id, reason) for version, reason in versions]
    workshop.record_all(job.id, declared.key, readings, trial=trial, person=told["person"])


def _part_at(workshop: Workshop, place: str) -> int:
    return next(part.id for part in workshop.parts() if part.place == place)


def _placed(entry: Entry, typed: Any) -> list[tuple[str, str]]:
    """Spread what the data give over an entry's positions: one text, or a list in order."""
    if isinstance(typed, list):
        return [(position.key, text) for position, text in zip(entry.positions, typed, strict=False)]
    return [(entry.positions[0].key, typed)] if typed else []


def _tell_reopening(workshop: Workshop, clock: DemoClock, job: Job, told: Mapping[str, Any], person: str) -> None:
    clock.now += timedelta(days=told["days_later"])
    workshop.reopen(job.id, person, told["reason"])
    workshop.change_job(job.id, told["field"], told["text"], person, told["reason"])
    workshop.sign(job.id, person)
