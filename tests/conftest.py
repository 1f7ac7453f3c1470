"""What every test shares: no display, no user folders, no modal dialogs, and a small workshop to work in."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from told import demo_data

# Before any test imports Qt: pages are tested offscreen; a real display is the business of tests marked `display`.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

# The same examples each run, and no deadline: a slow shared machine is not a broken law.
settings.register_profile("pinionbook", deadline=None, derandomize=True, max_examples=60)
settings.load_profile("pinionbook")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Iterator[Any]:
    """In CI a skipped test is a failed one: there everything the tests need is installed."""
    report = yield
    if os.environ.get("CI") and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped in CI: {report.longrepr}"
    return report


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_teardown() -> Iterator[Any]:
    """Take down, after each test, the pages it left: otherwise they hear every event of the tests that follow.

    To Python they are garbage: collected in the middle of a change of style, they would take away the very list that is
    being measured, and the process with it.
    """
    from PySide6.QtCore import QCoreApplication, QEvent

    result = yield
    if QCoreApplication.instance() is not None:
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    return result


@pytest.fixture(autouse=True)
def _own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep every test out of the folders of whoever runs it."""
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    monkeypatch.delenv("PINIONBOOK_LOGBOOK", raising=False)


@pytest.fixture(autouse=True)
def _no_modal_dialogs(monkeypatch: pytest.MonkeyPatch) -> None:
    """No page may block on a dialog."""
    from PySide6.QtWidgets import QDialog, QMessageBox

    def refuse(*_: object, **__: object) -> None:
        pytest.fail("a modal dialog was opened")

    monkeypatch.setattr(QDialog, "exec", refuse)
    monkeypatch.setattr(QMessageBox, "exec", refuse)


class StoryClock:
    """A clock that moves on a minute each time it is read, somewhere in the past."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


@pytest.fixture
def clock() -> StoryClock:
    """Return a story's clock, started on a working morning."""
    return StoryClock(datetime(2026, 3, 2, 8, 0, tzinfo=UTC))


@pytest.fixture(scope="session")
def server() -> Iterator[Any]:
    """Yield a real PostgreSQL server, started when the first test asks for it."""
    from server import programs, running

    if programs() is None:
        pytest.skip("no PostgreSQL server is installed: apt-get install postgresql")
    with running() as started:
        yield started


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return an empty logbook nobody works in; copying it is faster than making one for each test."""
    from core.records import open_logbook

    path = tmp_path_factory.mktemp("made-once") / "logbook.db"
    open_logbook(path).close()
    return path


@pytest.fixture
def empty_workshop(made_once: Path, tmp_path: Path, clock: StoryClock) -> Iterator[Any]:
    """Yield a workshop on an empty logbook of its own."""
    from core.records import open_logbook
    from core.workshop import Workshop

    with open_logbook(shutil.copyfile(made_once, tmp_path / "logbook.db"), clock=clock) as logbook:
        yield Workshop(logbook, clock)


@pytest.fixture(scope="session")
def furnished_logbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a logbook with the demo's people, gauges, rings and spec cards; told once, copied by each test."""
    from core.facts import Shop
    from core.records import open_logbook
    from core.shop_inputs import LimitText
    from core.workshop import Workshop

    path = tmp_path_factory.mktemp("furnished") / "logbook.db"
    clock = StoryClock(datetime(2026, 3, 1, 8, 0, tzinfo=UTC))
    shop = demo_data("shop")
    with open_logbook(path, clock=clock) as logbook:
        workshop = Workshop(logbook, clock)
        workshop.save_shop(Shop(**shop["shop"]))
        for person in shop["people"]:
            workshop.add_person(person["name"], person["role"])
        for gauge in shop["gauges"]:
            workshop.add_gauge(
                gauge["name"], gauge["use"], gauge["resolution"], gauge["error"], "2026-01-05", gauge["interval"]
            )
        micrometer = next(gauge.id for gauge in workshop.gauges() if gauge.use == "micrometer")
        for part in shop["parts"]:
            texts = (part[key] for key in ("kind", "name", "place", "nominal", "measured", "count", "level"))
            workshop.add_part(*texts, gauge_id=micrometer, fits=part.get("fits", ""))
        for card in demo_data("spec_cards"):
            limits = {key: LimitText(**text) for key, text in card["limits"].items()}
            workshop.save_card(card["family"], limits, card["facts"], "Tam Ollerby")
    return path


@pytest.fixture(scope="session")
def told_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of the demo, told once, where an earlier telling had been interrupted."""
    from core.demo import LOGBOOK_NAME, prepare_demo

    place = tmp_path_factory.mktemp("demo")
    for leftover in ("", "-wal", "-shm"):
        (place / f"{LOGBOOK_NAME}.partial{leftover}").write_text("half a demo", encoding="utf-8")
    workshop, _ = prepare_demo(place)
    workshop.close()
    return place


@pytest.fixture
def workshop(furnished_logbook: Path, tmp_path: Path, clock: StoryClock) -> Iterator[Any]:
    """Yield a workshop with the demo's people, gauges, rings and spec cards, and no job yet."""
    from core.records import open_logbook
    from core.workshop import Workshop

    path = tmp_path / "logbook.db"
    # The template was closed, so its file is whole; an open one would have to be copied by its own backup.
    shutil.copyfile(furnished_logbook, path)
    with open_logbook(path, clock=clock) as logbook:
        yield Workshop(logbook, clock)


@pytest.fixture
def job(workshop: Any) -> Any:
    """Return job 2407 of the demo, just opened."""
    from core.drafts import JobDraft

    cards = {card.family: card for card in workshop.cards()}
    return workshop.new_job(
        JobDraft(
            number="2407",
            serial="K-1183",
            customer="Brackwater Hill-climb Club",
            vehicle="hill-climb special, rear axle",
            asked_for="Fit the limited-slip carrier from another unit.",
            ring_gear_teeth="43",
            pinion_teeth="11",
            tag_ratio="3.91",
            is_limited_slip=True,
            card_id=cards["Orrin B"].id,
        ),
        "Tam Ollerby",
    )
