"""A judged job made by hand: the sheet needs no logbook."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from core.facts import CardFact, Gauge, Job, Limit, Reading, Shop, SpecCard
from core.quantities import parse
from core.sheet.sheet import sheet_bytes
from core.stages import evaluate_job, stage
from core.stages.context import Context
from core.stages.state import JobState

SHOP = Shop("Ferrow Lane Driveline", "3 Ferrow Lane\nAldmoor Cross", "metric")
MADE_AT = datetime(2031, 5, 12, 16, 30)
OPENED = datetime(2031, 5, 5, 8, 0)

CARD = SpecCard(
    7,
    "Orrin B",
    3,
    {
        limit.key: limit
        for limit in (
            Limit("turning_torque", 0.5, 1.0, "0.5 N·m", "1.0 N·m", "n_m", "common practice"),
            Limit("backlash", 0.06, 0.10, "0.06 mm", "0.10 mm", "mm", "maker's manual, page 12"),
            Limit("backlash_variation", None, 0.04, "", "0.04 mm", "mm", "shop practice"),
            Limit("running_clearance", 0.8, None, "0.8 mm", "", "mm", "common practice"),
            Limit("groove_radius", 0.8, None, "0.8 mm", "", "mm", "common practice"),
            Limit("contact_along", 0.4, 0.6, "40 %", "60 %", "percent", "common practice"),
        )
    },
    {
        fact.key: fact
        for fact in (
            CardFact("ring_gear_side", None, "left"),
            CardFact("setting_method", None, "outboard_rings"),
            CardFact("face_width", 30.0, "30 mm", "mm"),
            CardFact("working_depth", 9.0, "9 mm", "mm"),
        )
    },
)
JOB = Job(
    1, "2407", "K-1183", "Brackwater Hill-climb Club", "hill-climb special", "Quiet, and documented.",
    43, 11, 3.91, True, CARD, OPENED, "Tam Ollerby", "by letter",
    signed_at=datetime(2031, 5, 12, 16, 0), signed_by="Tam Ollerby",
)  # fmt: skip
GAUGES = {
    1: Gauge(1, "dial gauge 1", "dial", "length", 0.01, 0.005, date(2031, 1, 5), 12),
    2: Gauge(2, "beam wrench 2", "torque", "torque", 0.05, 0.05),
}

FOUND_BACKLASH = ("0.14", "0.15", "0.17", "0.18", "0.17", "0.16", "0.15", "0.14")
LEFT_BACKLASH = ("0.07", "0.07", "0.08", "0.09", "0.09", "0.09", "0.08", "0.07")
Told = tuple[str, str, int, str]


def _around(stage_key: str, entry: str, trial: int, texts: Iterable[str]) -> list[Told]:
    positions = stage(stage_key).entry(entry).positions
    return [(stage_key, f"{entry}@{p.key}", trial, text) for p, text in zip(positions, texts, strict=True)]


STORY: list[Told] = [
    *_around("teardown", "backlash_found", 0, FOUND_BACKLASH),
    ("teardown", "torque_whole", 0, "9.5 in-lb"),
    ("teardown", "contact_drive_along", 0, "62"),
    ("teardown", "contact_drive_depth", 0, "48"),
    ("teardown", "contact_drive_length", 0, "45"),
    ("teardown", "contact_drive_height", 0, "60"),
    ("teardown", "contact_coast_along", 0, "55"),
    ("teardown", "contact_coast_depth", 0, "55"),
    ("teardown", "rings_found_ring_gear_side", 0, "2.62"),
    ("teardown", "rings_found_opposite_side", 0, "2.38"),
    ("teardown", "seal_condition@left", 0, "replace"),
    ("teardown", "seal_condition@right", 0, "good"),
    ("teardown", "seal_condition@pinion", 0, "good"),
    ("teardown", "oil_found", 0, "dark"),
    ("teardown", "parts_note", 0, "One cover thread was stripped."),
    ("housing_prep", "washed", 0, "yes"),
    ("preload", "ring_gear_side", 1, "2.50"),
    ("preload", "opposite_side", 1, "2.50"),
    ("preload", "torque_forward", 1, "0.05"),
    ("preload", "torque_back", 1, "0.05"),
    ("preload", "ring_gear_side", 2, "2.52"),
    ("preload", "opposite_side", 2, "2.53"),
    ("preload", "torque_forward", 2, "0.60"),
    ("preload", "torque_back", 2, "0.65"),
    ("preload", "accepted", 2, "yes"),
    ("backlash", "ring_gear_side", 1, "2.60"),
    ("backlash", "opposite_side", 1, "2.45"),
    *_around("backlash", "backlash", 1, LEFT_BACKLASH),
    ("backlash", "accepted", 1, "yes"),
    ("contact_pattern", "drive_along", 1, "46"),
    ("contact_pattern", "drive_depth", 1, "52"),
    ("contact_pattern", "drive_length", 1, "48"),
    ("contact_pattern", "drive_height", 1, "62"),
    ("contact_pattern", "coast_along", 1, "53"),
    ("contact_pattern", "coast_depth", 1, "49"),
    ("contact_pattern", "accepted", 1, "yes"),
    ("fill", "groove_bottom", 0, "radius"),
    ("fill", "groove_radius", 0, "1.0"),
    ("fill", "groove_width", 0, "2.3"),
    ("fill", "groove_diameter", 0, "26.0"),
    ("fill", "groove_position", 0, "8.5"),
    ("fill", "oil_grade", 0, "75W-140"),
    ("fill", "oil_volume", 0, "1.15 qt"),
]
"""One short job: stage, entry (with its position), trial, and what was typed."""


@dataclass
class Bench:
    """Takes readings as typed and judges the job."""

    job: Job = JOB
    gauges: Mapping[int, Gauge] = field(default_factory=lambda: dict(GAUGES))
    readings: list[Reading] = field(default_factory=list)

    def take(self, stage_key: str, place: str, trial: int, text: str, **more: Any) -> Reading:
        """Add one reading; `place` is the entry, with ``@position`` where it has several."""
        key, _, position = place.partition("@")
        entry = stage(stage_key).entry(key)
        gauge = {"dial": 1, "torque": 2}.get(entry.gauge)
        value, typed, unit = None, text, ""
        if entry.kind != "text" and text:
            amount = parse(entry.kind, text, entry.unit, [c.key for c in entry.choices])
            value, typed, unit = amount.value, amount.text, amount.unit
        number = len(self.readings) + 1
        moment = OPENED + timedelta(minutes=number)
        reading = Reading(
            number, self.job.id, stage_key, key, position, trial, value, typed, unit, gauge, "Tam Ollerby", moment
        )
        self.readings.append(replace(reading, **more))
        return self.readings[-1]

    def tell(self, story: Iterable[Told]) -> Bench:
        """Add several readings."""
        for told in story:
            self.take(*told)
        return self

    @property
    def state(self) -> JobState:
        """The job as judged."""
        return evaluate_job(Context(self.job, tuple(self.readings), self.gauges))


@pytest.fixture
def bench() -> Bench:
    """Return an empty bench."""
    return Bench()


@pytest.fixture
def told(bench: Bench) -> Bench:
    """Return a bench with the short job on it."""
    return bench.tell(STORY)


@pytest.fixture
def printed() -> Callable[..., bytes]:
    """Return a function that prints a sheet and hands back its bytes."""

    def make(state: JobState, **more: Any) -> bytes:
        options: dict[str, Any] = {"copy": "shop", "page": "A4", "events": (), "made_at": MADE_AT, **more}
        return sheet_bytes(state, options.pop("shop", SHOP), **options)

    return make


@pytest.fixture(scope="session")
def shops_copy() -> tuple[JobState, bytes, str]:
    """Return the short job, its shop's copy and the words in it; printed once, for it takes a second."""
    state = Bench().tell(STORY).state
    pdf = sheet_bytes(state, SHOP, copy="shop", page="A4", events=(), made_at=MADE_AT)
    return state, pdf, words_of(pdf)


def words_of(pdf: bytes) -> str:
    """Return a PDF's words, wherever its lines were broken."""
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf)).pages)


@pytest.fixture
def read() -> Callable[[bytes], str]:
    """Return a function that reads a PDF's words back."""
    return words_of


@pytest.fixture
def utc() -> Any:
    """Return the time zone of aware moments in these tests."""
    return UTC
