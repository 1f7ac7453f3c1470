"""Whatever jobs take, type, accept and take back, in whatever order: no piece is made, lost or in two places."""

from __future__ import annotations

import random
import shutil
from collections import Counter, defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import func, select

from core.drafts import JobDraft
from core.errors import UserError
from core.facts import Hold, JobParts, Reading
from core.records import Logbook, open_logbook, tables
from core.stages.context import Context
from core.workshop import Workshop

from .conftest import NOW

SIDES = ("ring_gear_side", "opposite_side")
FACTS = {"ring_gear_side": "left", "setting_method": "outboard_rings", "ring_sum_tolerance": "1"}
SIZES = ("2.48", "2.50", "2.503", "2.52")
TYPED = ("2.48", "2.501", "2.60", "0.0984 in")
RECEIVED = 2

KINDS = ["take"] * 8 + ["type", "type", "withdraw", "accept", "accept", "refuse", "use", "back"]
STAGES = ["preload"] * 3 + ["backlash"]

acts = st.tuples(
    st.sampled_from([*KINDS, "scrap"]),
    st.sampled_from([0, 0, 1]),
    st.sampled_from(STAGES),
    st.sampled_from(SIDES),
    st.integers(1, 2),
    st.integers(0, len(SIZES) - 1),
)
Act = tuple[str, int, str, str, int, int]


def furnish(workshop: Workshop) -> list[int]:
    """Put a card, a few rings and two jobs into an empty logbook; return the jobs' ids."""
    card = workshop.save_card("Tollen 2", {}, FACTS, "Tam")
    for place, size in enumerate(SIZES):
        workshop.add_part("ring", "", f"A{place}", size, size, str(RECEIVED if place else 1))
    drafts = [
        JobDraft(f"{at}", f"K-{at}", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id)
        for at in (1, 2)
    ]
    return [workshop.new_job(draft, "Tam").id for draft in drafts]


def measure_all(workshop: Workshop, jobs: list[int]) -> None:
    """Read what every trial asks for besides its sides, so that it can be accepted."""
    for job in jobs:
        for trial in (1, 2):
            for entry in ("torque_forward", "torque_back"):
                workshop.record(job, "preload", entry, "0.6", trial=trial)


def do(workshop: Workshop, jobs: list[int], act: Act) -> None:
    what, at, stage, side, trial, size = act
    job, part = jobs[at], workshop.parts()[size].id
    doing: dict[str, Callable[[], Any]] = {
        "take": lambda: workshop.take_from_drawer(job, stage, side, trial, part, "Tam"),
        "type": lambda: workshop.record(job, stage, side, TYPED[size], trial=trial, person="Tam", reason="again"),
        "withdraw": lambda: workshop.withdraw(job, stage, side, trial=trial, person="Tam", reason="no"),
        "accept": lambda: workshop.record(job, "preload", "accepted", "yes", trial=trial, person="Tam", reason="it"),
        "refuse": lambda: workshop.record(job, "preload", "accepted", "no", trial=trial, person="Tam", reason="not"),
        "use": lambda: workshop.use_part(job, part, "1", "Tam"),
        "back": lambda: workshop.bring_part_back(job, part, "1", "Tam"),
        "scrap": lambda: workshop.scrap(part, "1", "cracked", "Tam"),
    }
    doing[what]()


def written(logbook: Logbook) -> int:
    """Return how much was ever written."""
    with logbook.look() as work:
        row = work._row(select(func.max(tables.trail.c.id).label("last")))
        return int(row.last) if row is not None else 0


def assert_law(logbook: Logbook, jobs: list[int]) -> None:
    with logbook.look() as work:
        assert work.stock_disagreements() == []
        parts, moves = work.parts(), work._moves()
        held = {job: work.held_by_job(job) for job in jobs}
        contexts = {job: Context(work.job(job), tuple(work.readings(job))) for job in jobs}
    gone = Counter({part.id: 0 for part in parts})
    for move in moves:
        gone[move.part_id] -= move.pieces if move.what in ("received", "scrapped") else 0
    for job in jobs:
        net: dict[str, Counter[int]] = defaultdict(Counter)
        for move in moves:
            if move.job_id == job:
                net[move.entry][move.part_id] -= move.pieces
        for side in SIDES:
            assert min(net[side].values(), default=0) >= 0
            assert sum(net[side].values()) <= 1, "one piece a side"
            assert list(+net[side]) == [hold.part.id for entry, hold in held[job].holds.items() if entry == side]
        assert +net[""] == Counter({used.part.id: used.pieces for used in held[job].used})
        for taken in net.values():
            gone.update(taken)
        assert_what_is_fitted(contexts[job], held[job])
    for part in parts:
        assert part.count >= 0
        assert part.count + gone[part.id] == 0, "no piece is made or lost"


def assert_what_is_fitted(context: Context, held: JobParts) -> None:
    """A piece is held for a reading of it; it is fitted where an accepted trial has it, and else it is not."""
    for side, hold in held.holds.items():
        reading = context.reading(hold.stage, side, trial=hold.trial)
        assert reading is not None
        assert agrees(reading, hold), "what is held is what was read"
    accepted = context.accepted_trial("preload", "accepted")
    for side, hold in held.holds.items():
        if accepted is None:
            assert not hold.is_fitted
            continue
        reading = context.reading("preload", side, trial=accepted)
        if reading is None or not agrees(reading, hold):
            assert not hold.is_fitted
        elif (hold.stage, hold.trial) == ("preload", accepted):
            assert hold.is_fitted


def agrees(reading: Reading, hold: Hold) -> bool:
    return abs(reading.value - hold.part.thickness_mm) <= 0.0051


def assert_accepted_is_in(workshop: Workshop, job: int) -> None:
    """What preload holds once a trial was accepted is what that trial had."""
    context = workshop.state(job).context
    for side, hold in workshop.held_by_job(job).holds.items():
        reading = context.reading("preload", side, trial=context.accepted_trial("preload", "accepted"))
        assert hold.stage == "backlash" or agrees(reading, hold)


def run(logbook: Logbook, jobs: list[int], told: list[Act]) -> int:
    workshop, done = Workshop(logbook, lambda: NOW), 0
    for act in told:
        before = written(logbook)
        try:
            do(workshop, jobs, act)
            done += 1
            assert_law(logbook, jobs)
            if act[0] == "accept":
                assert_accepted_is_in(workshop, jobs[act[1]])
        except UserError:
            assert written(logbook) == before, "what is refused writes nothing"
    return done


@pytest.fixture(scope="module")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[int]]:
    path = tmp_path_factory.mktemp("drawer") / "logbook.db"
    with open_logbook(path, clock=lambda: NOW) as logbook:
        workshop = Workshop(logbook, lambda: NOW)
        jobs = furnish(workshop)
        measure_all(workshop, jobs)
    return path, jobs


@settings(max_examples=12)
@given(told=st.lists(acts, min_size=12, max_size=30))
def test_no_piece_is_made_lost_or_in_two_places(
    furnished: tuple[Path, list[int]], tmp_path_factory: pytest.TempPathFactory, told: list[Act]
) -> None:
    template, jobs = furnished
    path = shutil.copyfile(template, tmp_path_factory.mktemp("law") / "logbook.db")
    with open_logbook(path, clock=lambda: NOW) as logbook:
        run(logbook, jobs, told)


def test_the_law_holds_on_both_engines(logbook: Logbook) -> None:
    dice = random.Random(4)
    workshop = Workshop(logbook, lambda: NOW)
    jobs = furnish(workshop)
    measure_all(workshop, jobs)
    told = [
        (dice.choice(KINDS), dice.randrange(2), dice.choice(STAGES),
         dice.choice(SIDES), dice.randint(1, 2), dice.randrange(len(SIZES)))
        for _ in range(60)
    ]  # fmt: skip
    assert run(logbook, jobs, told) > 20
