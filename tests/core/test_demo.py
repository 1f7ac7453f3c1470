"""The demo shop: told once for this file, then looked at from all sides."""

from __future__ import annotations

import shutil
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from core.demo import LOGBOOK_NAME, SHOWN_JOB, DemoClock, _placed, _until, prepare_demo
from core.facts import PART_WORDS
from core.gauges import standing
from core.records import default_location, open_logbook
from core.stages import stage
from core.verdict import Answer
from core.workshop import Workshop

CHARTED = ["2421", "2428", "2440", "2449", "2508", "2514", "2527", "2535", "2553", "2566"]
"""Jobs of one family that are told for its charts."""
C, D, M = Answer.CONFORMS, Answer.DOES_NOT_CONFORM, Answer.MISSING


@pytest.fixture(scope="module")
def demo(told_demo: Path) -> Iterator[tuple[Workshop, Path]]:
    """Yield the demo's workshop, open, and its sheet."""
    workshop = Workshop(open_logbook(told_demo / LOGBOOK_NAME))
    yield workshop, told_demo / f"build-sheet-{SHOWN_JOB}.pdf"
    workshop.close()


def test_an_interrupted_telling_is_told_anew_and_leaves_nothing_behind(demo: tuple[Workshop, Path]) -> None:
    workshop, sheet = demo
    names = {path.name.removesuffix("-wal").removesuffix("-shm") for path in sheet.parent.iterdir()}
    assert names == {LOGBOOK_NAME, f"build-sheet-{SHOWN_JOB}.pdf"}
    assert workshop.location == str(sheet.parent / LOGBOOK_NAME)
    assert sheet.read_bytes().startswith(b"%PDF-")


def test_the_shop_has_people_gauges_rings_and_three_families(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    assert workshop.shop().name == "Ferrow Lane Driveline"
    assert [p.role for p in workshop.people()] == ["bench", "bench", "owner"]
    assert {g.use for g in workshop.gauges()} >= {"dial", "torque", "micrometer", "thermometer", "vessel"}
    assert sum(part.count for part in workshop.parts() if part.kind == "ring") > 50
    assert {part.kind for part in workshop.parts()} == set(PART_WORDS)
    assert [(c.family, c.revision) for c in workshop.cards()] == [("Kelda 3", 1), ("Orrin B", 3), ("Vask T", 1)]
    for card in workshop.cards():
        assert all(limit.source for limit in card.limits.values())


def test_one_gauge_is_past_its_calibration_so_that_it_can_be_seen(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    today = workshop.today()
    assert [g.name for g in workshop.gauges() if standing(g, today).is_lapsed] == ["bore gauge 50–100"]


def test_only_what_was_read_with_the_overdue_gauge_is_marked(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    marked = set()
    for row in workshop.find_jobs():
        state = workshop.state(row.job.id)
        fields = [f for s in state.stages for f in (*s.fields, *(f for t in s.trials for f in t.fields))]
        marked |= {(row.job.number, f.gauge.name, doubt.why) for f in fields if f.gauge for doubt in f.doubts}
    assert {(name, why) for _, name, why in marked} == {("bore gauge 50–100", "overdue")}
    assert "2603" in {number for number, _, _ in marked}
    assert not {number for number, _, _ in marked} & {"2407", "2415", "2433", "2502", "2519", "2544"}


def test_zeros_were_checked_and_one_was_off_until_it_was_set(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    found = {g.name: [check.is_good for check in g.zeros] for g in workshop.gauges() if g.zeros}
    # Those of the last weeks; older ones are read with the jobs they belong to.
    assert found == {"dial gauge 1": [False, True], "bore gauge 50–100": [True]}


def test_jobs_stand_in_different_stages(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    marks = {row.job.number: row.marks for row in workshop.find_jobs()}
    assert len(marks) == 22
    finished = ["2407", "2415", "2433", "2502", "2519", "2544", *CHARTED]
    assert {n: m for n, m in marks.items() if n in finished} == dict.fromkeys(finished, (C,) * 6)
    assert {n: m for n, m in marks.items() if n not in finished} == {
        "2603": (C, C, C, C, M, M),
        "2611": (C, M, M, M, M, M),
        "2612": (C, C, C, M, M, M),
        "2613": (C, C, M, M, M, M),
        "2614": (C, C, M, M, M, M),
        "2615": (M, M, M, M, M, M),
    }
    assert all(bool(row.missing) == (row.job.number not in finished) for row in workshop.find_jobs())
    assert all((row.job.signed_at is not None) == (row.job.number in finished) for row in workshop.find_jobs())


def test_two_units_came_back(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    visits = Counter(row.job.serial for row in workshop.find_jobs())
    assert {serial for serial, times in visits.items() if times > 1} == {"K-1183", "M 77-205"}
    history = workshop.history_of_job(workshop.job("2611").id)
    assert [one.job.number for one in history.visits] == ["2407", "2611"]


def test_every_moment_lies_in_the_past_and_in_order(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    for row in workshop.find_jobs():
        readings = workshop.state(row.job.id).context.readings
        moments = [r.taken_at for r in readings]
        assert moments == sorted(moments)
        assert all(row.job.opened_at <= m <= datetime.now(UTC) for m in moments)
        assert row.touched_at <= datetime.now(UTC)
        assert {r.person for r in readings} <= {"Tam Ollerby", "Jory Pell"}


def test_slips_are_told_and_put_right_with_a_reason(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    readings = workshop.state(workshop.job(SHOWN_JOB).id).context.readings
    by_id = {r.id: r for r in readings}
    corrected = [(by_id[r.replaces].text, r.text, r.reason) for r in readings if r.replaces]
    assert corrected == [
        ("B", "A", "left and right were swapped on the card"),
        ("A", "B", "left and right were swapped on the card"),
        (".9", "0.07", "decimal point slipped"),
        ("square", "radius", "the first flange came back square-cut; this one is turned with a radius"),
    ]


def test_the_finished_job_was_reopened_for_a_misspelt_name(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    job = workshop.job(SHOWN_JOB)
    assert (job.revision, job.customer, job.card.revision) == (2, "Brackwater Hill-climb Club", 3)
    events = workshop.events(job.id)
    assert [e.what for e in events] == ["opened", "signed", "reopened", "corrected", "signed", "sheet"]
    assert timedelta(days=14) <= events[2].at - events[1].at < timedelta(days=15)


def test_the_finished_job_has_photos_and_its_sheet_shows_them(demo: tuple[Workshop, Path]) -> None:
    workshop, sheet = demo
    photos = workshop.photos(workshop.job(SHOWN_JOB).id)
    assert [(p.stage, p.entry, p.position) for p in photos] == [
        ("teardown", "", ""),
        ("teardown", "seal_condition", "left"),
        ("contact_pattern", "", ""),
    ]
    assert photos[1].reading_id is not None
    assert sheet.read_bytes().count(b"/DCTDecode") == len(photos)


def test_readings_name_the_gauge_that_took_them(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    names = {g.id: g.name for g in workshop.gauges()}
    context = workshop.state(workshop.job(SHOWN_JOB).id).context
    used = {r.entry: names[r.gauge_id] for r in context.readings if r.gauge_id}
    assert used["runout"] == "dial gauge 1"
    assert used["bolt_setting"] == used["breakaway_torque"] == "click wrench 1"
    assert used["cover_bolt_torque"] == "click wrench 3, small"
    assert used["torque_forward"] == "beam wrench 2"
    assert "oil_grade" not in used


def test_the_unfinished_jobs_have_advice_waiting(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    preload = workshop.advice(workshop.job("2613").id, "preload")
    backlash = workshop.advice(workshop.job("2612").id, "backlash")
    contact = workshop.advice(workshop.job("2603").id, "contact_pattern")
    assert preload is not None
    assert preload.title == "Trial 2 conforms"
    assert backlash is not None
    assert backlash.title == "Trial 2 conforms"
    assert contact is not None
    assert "instead of 1.220 mm" in contact.text
    assert contact.shims is not None, "the drawer has what the pinion is to be laid on"
    assert all(part is not None and part.place.startswith("P") for part in contact.shims.parts)


def test_one_job_carries_a_tag_of_another_pair(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    assert workshop.job("2603").tag_ratio == 4.10


def test_a_demo_already_told_is_opened_beside_the_users_own_logbook(demo: tuple[Workshop, Path]) -> None:
    own = default_location()
    place = own.parent / "demo"
    place.mkdir(parents=True)
    workshop, _ = demo
    workshop.find_jobs()
    for path in Path(workshop.location).parent.glob(f"{LOGBOOK_NAME}*"):
        shutil.copy(path, place / path.name)
    again, sheet = prepare_demo()
    try:
        assert again.location == str(place / LOGBOOK_NAME)
        assert sheet == place / f"build-sheet-{SHOWN_JOB}.pdf"
        assert sheet.exists()
        assert not own.exists(), "the user's own logbook is left alone"
        sheets = [e.what for e in again.events(again.job(SHOWN_JOB).id)].count("sheet")
        assert sheets == [e.what for e in workshop.events(workshop.job(SHOWN_JOB).id)].count("sheet") + 1
    finally:
        again._logbook.close()


# --- the pieces it is told with ---------------------------------------------------------------------------------------


def test_the_demos_clock_is_set_and_moves_on() -> None:
    clock = DemoClock(datetime(2026, 3, 2, 15, 30, tzinfo=UTC))
    clock.set_days_ago(2)
    assert clock() == datetime(2026, 2, 28, 8, 1, tzinfo=UTC)
    assert clock() == datetime(2026, 2, 28, 8, 2, tzinfo=UTC)


@pytest.mark.parametrize(
    ("last", "told"), [(None, [1, 2, 3, 4]), ("", []), ("a", [1, 2]), ("b", [1, 2, 3]), ("c", [1, 2, 3, 4])]
)
def test_a_course_is_told_up_to_and_with_a_stage(last: str | None, told: list[int]) -> None:
    course = [{"stage": "a", "n": 1}, {"stage": "a", "n": 2}, {"stage": "b", "n": 3}, {"stage": "c", "n": 4}]
    assert [block["n"] for block in _until(course, last)] == told


@pytest.mark.parametrize(
    ("typed", "placed"),
    [("A", [("left", "A")]), (["A", "B"], [("left", "A"), ("right", "B")]), ("", []), (["A"], [("left", "A")])],
)
def test_texts_are_spread_over_places(typed: Any, placed: list[tuple[str, str]]) -> None:
    assert _placed(stage("teardown").entry("cup_tag"), typed) == placed


def test_a_job_of_the_demo_has_its_rings_from_the_drawer(demo: tuple[Workshop, Path]) -> None:
    workshop, _ = demo
    held = workshop.held_by_job(workshop.job("2603").id)
    assert {entry: (hold.part.place, hold.is_fitted) for entry, hold in held.holds.items()} == {
        "ring_gear_side": ("B7", True), "opposite_side": ("A9", True), "spacer": ("T2", True),
        "pinion_shim": ("P5", False),
    }  # fmt: skip
    assert [(used.part.place, used.pieces) for used in held.used] == [("P3", 1)]
    assert [used.pieces for used in workshop.held_by_job(workshop.job("2544").id).used] == [2, 1]
    assert len(workshop.order_list()) > 4
    assert workshop.stock_disagreements() == []
