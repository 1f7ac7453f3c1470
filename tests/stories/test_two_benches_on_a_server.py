"""A day of two benches on one server: six jobs from intake to signature, rings out of one drawer, one cut cable."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import psycopg
import pytest
from told import demo_data

from core.demo import tell_block
from core.drafts import JobDraft
from core.errors import ConflictError, LogbookError
from core.records import Changes, open_logbook
from core.records.location import place_of
from core.records.move import move
from core.records.verify import verify
from core.workshop import Workshop

PEOPLE = ("Tam Ollerby", "Jory Pell")
SIDES = ("ring_gear_side", "opposite_side")
TAKEN = (*SIDES, "accepted")


@pytest.fixture
def address(furnished_logbook: Path, server: Any) -> Iterator[str]:
    """Yield the address of the demo's shop, carried over to a server."""
    made = server.empty()
    move(furnished_logbook, made)
    yield made
    server.drop(made)


class Day:
    """What both benches share: the clock on the wall, and what they ran into."""

    def __init__(self, clock: Any) -> None:
        self._clock, self._lock = clock, threading.Lock()
        self.conflicts: Counter[str] = Counter()

    def __call__(self) -> Any:
        with self._lock:
            return self._clock()


class Bench:
    """One bench: its own program, its own connection, its own person."""

    def __init__(self, address: str, person: str, day: Day) -> None:
        self.workshop = Workshop(open_logbook(address, clock=day), day)
        self.person, self.day = person, day
        self.heard: list[Changes] = []
        self.workshop.watch(self.heard.append)
        self.told = demo_data("jobs")
        self.gauges = {gauge.use: gauge.id for gauge in reversed(self.workshop.gauges())}

    def do(self, number: int) -> int:
        """Do one job from intake to signature; return its id."""
        cards = {card.family: card for card in self.workshop.cards()}
        draft = JobDraft(
            number=f"28{number:02}", serial=f"N-{number:04}", customer="Aldmoor Quarry", ring_gear_teeth="43",
            pinion_teeth="11", tag_ratio="3.91", is_limited_slip=True, card_id=cards["Orrin B"].id,
        )  # fmt: skip
        job = self.workshop.new_job(draft, self.person)
        for block in self.told["courses"]["orrin"]:
            self.tell(job, block)
        self.workshop.sign(job.id, self.person)
        return int(job.id)

    def tell(self, job: Any, block: dict[str, Any]) -> None:
        """Tell a block of the course; rings come out of the drawer instead of being typed."""
        stage, trial = block["stage"], block.get("trial", 0)
        has_rings = SIDES[0] in block["read"]
        if has_rings:
            self.fit(job.id, stage, trial)
        read = {key: typed for key, typed in block["read"].items() if not (has_rings and key in SIDES)}
        tell_block(self.workshop, job, {"person": self.person}, {**block, "read": read}, self.gauges)

    def fit(self, job_id: int, stage: str, trial: int) -> None:
        """Take a ring for each side: another pair for each trial of the preload, the same for the backlash."""
        held = {entry: hold.part.id for entry, hold in self.workshop.held_by_job(job_id).holds.items()}
        for side in SIDES:
            if stage == "backlash" and side in held:
                self.workshop.take_from_drawer(job_id, stage, side, trial, held[side], self.person)
            else:
                self.take_some(job_id, stage, side, trial, not_this=held.get(side))

    def take_some(self, job_id: int, stage: str, side: str, trial: int, not_this: int | None) -> None:
        """Take the first ring that nobody else was quicker to take."""
        for part in self.workshop.parts():
            if part.kind == "ring" and part.measured_mm and part.id != not_this and part.count:
                try:
                    self.workshop.take_from_drawer(job_id, stage, side, trial, part.id, self.person)
                    return
                except ConflictError as error:
                    self.day.conflicts[str(error)] += 1
        raise AssertionError("the drawer ran out of rings")


def test_a_day_of_two_benches_ends_with_the_same_stock_at_both(address: str, clock: Any) -> None:
    day = Day(clock)
    benches = [Bench(address, person, day) for person in PEOPLE]
    before = {part.id: part.count for part in benches[0].workshop.parts()}
    with ThreadPoolExecutor(2) as pool:
        jobs = [pool.submit(lambda b=bench, n=number: [b.do(n + i) for i in range(3)])
                for bench, number in zip(benches, (10, 20), strict=True)]  # fmt: skip
        ids = [job_id for each in jobs for job_id in each.result()]

    stock = [{part.id: part.count for part in bench.workshop.parts()} for bench in benches]
    assert stock[0] == stock[1]
    fitted = Counter(hold.part.id for job_id in ids for hold in benches[0].workshop.held_by_job(job_id).holds.values())
    assert sum(fitted.values()) == 2 * len(ids), "every job left with a ring on each side"
    assert {part: before[part] - fitted[part] for part in before} == stock[0]
    assert min(stock[0].values()) >= 0
    assert benches[0].workshop.stock_disagreements() == []
    assert [row.job.signed_by for row in benches[0].workshop.find_jobs("aldmoor")].count("Tam Ollerby") == 3
    assert all(bench.heard for bench in benches), "each bench saw the other at work"
    for bench in benches:
        bench.workshop.close()
    checked = verify(place_of(address))
    assert checked.findings == ()


def test_of_two_who_reach_for_the_last_ring_one_gets_it(address: str, clock: Any) -> None:
    day = Day(clock)
    benches = [Bench(address, person, day) for person in PEOPLE]
    cards = {card.family: card for card in benches[0].workshop.cards()}
    jobs = [
        bench.workshop.new_job(
            JobDraft(number=str(9000 + at), serial=f"L-{at}", customer="c", ring_gear_teeth="43", pinion_teeth="11",
                     card_id=cards["Orrin B"].id), bench.person)
        for at, bench in enumerate(benches)
    ]  # fmt: skip
    last = next(part for part in benches[0].workshop.parts() if part.kind == "ring" and part.count == 1)
    together = threading.Barrier(2)

    def reach(at: int) -> str:
        together.wait()
        try:
            benches[at].workshop.take_from_drawer(jobs[at].id, "preload", SIDES[0], 1, last.id, PEOPLE[at])
        except ConflictError as error:
            return str(error)
        return ""

    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(reach, range(2)))
    assert answers.count("") == 1
    winner = answers.index("")
    assert jobs[winner].number in answers[1 - winner], "the other is told which job has it"
    assert next(part.count for part in benches[0].workshop.parts() if part.id == last.id) == 0
    held = [bench.workshop.held_by_job(job.id).holds for bench, job in zip(benches, jobs, strict=True)]
    assert [len(holds) for holds in held] == ([1, 0] if winner == 0 else [0, 1])
    assert not [r for r in benches[0].workshop.state(jobs[1 - winner].id).context.readings if r.entry == SIDES[0]]
    for bench in benches:
        bench.workshop.close()


def test_two_people_at_one_place_of_one_job_do_not_overwrite_each_other(address: str, clock: Any) -> None:
    day = Day(clock)
    tam, jory = (Bench(address, person, day) for person in PEOPLE)
    cards = {card.family: card for card in tam.workshop.cards()}
    draft = JobDraft(number="9100", serial="M-1", customer="c", ring_gear_teeth="43", pinion_teeth="11",
                     card_id=cards["Orrin B"].id)  # fmt: skip
    job = tam.workshop.new_job(draft, tam.person)
    jory.workshop.record(job.id, "teardown", "runout_found", "0.05", person=jory.person, seen=0)
    with pytest.raises(ConflictError, match=r"Jory Pell entered 0\.05 here meanwhile"):
        tam.workshop.record(job.id, "teardown", "runout_found", "0.03", person=tam.person, seen=0)
    (standing,) = tam.workshop.state(job.id).context.readings
    tam.workshop.record(
        job.id, "teardown", "runout_found", "0.03", person=tam.person, seen=standing.id, reason="measured again"
    )
    assert [r.text for r in jory.workshop.state(job.id).context.readings] == ["0.05", "0.03"]
    for bench in (tam, jory):
        bench.workshop.close()


def test_a_bench_whose_cable_is_pulled_loses_nothing_and_goes_on(address: str, clock: Any) -> None:
    day = Day(clock)
    bench = Bench(address, PEOPLE[0], day)
    job_id = bench.do(30)
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    # The pool asks a connection whether it lives before it hands it out, so a pulled cable is only noticed in mid-work.
    try:
        assert bench.do(31) == job_id + 1
    except LogbookError as error:
        assert "was not kept" in str(error)
        assert bench.do(32) > job_id
    assert bench.workshop.stock_disagreements() == []
    bench.workshop.close()
    assert verify(place_of(address)).findings == ()
