"""A logbook in a folder of its own, with a card and a job where a test needs them."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from core.facts import CardFact, Job, Limit, Reading, SpecCard
from core.quantities import Amount
from core.records import Logbook, Work, open_logbook

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
LIMITS = (Limit("backlash", 0.06, 0.10, "0.06", "0.10 mm", "mm", "shop practice"),)
FACTS = (CardFact("ring_gear_side", None, "left"), CardFact("fill_volume", 1.1, "1.1", "l", "shop practice"))


@pytest.fixture
def now() -> datetime:
    """Return the moment the tests take place."""
    return NOW


# The newcomer's command tries the file here and the server in its own tests; .ci/run tries everything on both.
@pytest.fixture(params=["file", pytest.param("server", marks=pytest.mark.long)])
def logbook(request: pytest.FixtureRequest, made_once: Path, tmp_path: Path) -> Iterator[Logbook]:
    """Yield an empty logbook, once in a file and once on a server."""
    if request.param == "server":
        server = request.getfixturevalue("server")
        place = server.logbook()
    else:
        place = shutil.copyfile(made_once, tmp_path / "logbook.db")
    with open_logbook(place, clock=lambda: NOW) as opened:
        yield opened
    if request.param == "server":
        server.drop(place)


@pytest.fixture
def work(logbook: Logbook) -> Iterator[Work]:
    """Yield a unit of work that is never committed."""
    with logbook.work() as unit:
        yield unit


@pytest.fixture
def card(work: Work) -> SpecCard:
    """Return a spec card."""
    return work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam")


@pytest.fixture
def add_job(work: Work, card: SpecCard) -> Callable[..., Job]:
    """Return a function that opens a job; what a test does not care about is filled in."""

    def add(number: str = "2407", serial: str = "K-1183", **changes: Any) -> Job:
        return new_job(work, card, number=number, serial=serial, **changes)

    return add


@pytest.fixture
def job(add_job: Callable[..., Job]) -> Job:
    """Return an open job."""
    return add_job()


@pytest.fixture
def record(work: Work, job: Job) -> Callable[..., Reading]:
    """Return a function that takes a backlash reading of the open job at one place."""

    def take(value: float | None = 0.08, text: str | None = None, **changes: Any) -> Reading:
        return new_reading(work, job, value, text, **changes)

    return take


def new_job(work: Work, card: SpecCard, **changes: Any) -> Job:
    """Open a job in a unit of work."""
    given: dict[str, Any] = {
        "number": "2407",
        "serial": "K-1183",
        "customer": "Hill-climb club",
        "contact": "",
        "vehicle": "rear axle",
        "asked_for": "quiet",
        "ring_gear_teeth": 43,
        "pinion_teeth": 11,
        "tag_ratio": 3.91,
        "is_limited_slip": True,
        "card_id": card.id,
        "by": "Tam",
        "at": NOW,
    }
    return work.add_job(**(given | changes))


def new_reading(work: Work, job: Job, value: float | None = 0.08, text: str | None = None, **changes: Any) -> Reading:
    """Record a backlash reading in a unit of work."""
    typed = f"{value}" if text is None else text
    given: dict[str, Any] = {
        "job_id": job.id,
        "stage": "backlash",
        "entry": "backlash",
        "position": "at_000",
        "trial": 1,
        "amount": Amount("length", value, typed, "mm"),
        "gauge_id": None,
        "person": "Tam",
        "at": NOW,
    }
    return work.record(**(given | changes))
