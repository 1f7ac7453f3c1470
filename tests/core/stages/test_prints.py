"""A drawn print and its numbers say the same, whichever was entered last; all of it in one unit of work."""

from __future__ import annotations

from typing import Any

import pytest

from core.errors import ConflictError, UserError
from core.outlines import read_outline
from core.stages import contact_pattern, stage, teardown
from core.stages.prints import NUMBERS, flank_of, numbers_of, print_at
from core.workshop.bench import Typed

BOX = "20 30; 60 30; 60 70; 20 70"
WIDER = "20 30; 70 30; 70 70; 20 70"
STAGE = contact_pattern.KEY


def numbers(workshop: Any, job: Any, flank: str = "drive", stage_key: str = STAGE, trial: int = 1) -> list[str]:
    context = workshop.state(job.id).context
    return [context.text(stage_key, flank + end, trial=trial) for end in NUMBERS]


def outline(workshop: Any, job: Any, flank: str = "drive") -> str:
    return str(workshop.state(job.id).context.text(STAGE, f"{flank}_outline", trial=1))


def draw(workshop: Any, job: Any, text: str, **more: Any) -> None:
    workshop.record(job.id, STAGE, "drive_outline", text, trial=1, person="Jory Pell", **more)


def test_a_drawn_print_brings_its_numbers_in_one_unit_of_work(workshop: Any, job: Any) -> None:
    draw(workshop, job, BOX)
    assert numbers(workshop, job) == ["40", "50", "40", "40"]
    readings = workshop.state(job.id).context.readings
    assert [r.entry for r in readings] == ["drive_outline", *("drive" + end for end in NUMBERS)]
    assert {r.person for r in readings} == {"Jory Pell"}
    assert [r.value for r in readings] == [None, 0.4, 0.5, 0.4, 0.4]


def test_of_a_corrected_print_only_what_changed_is_written_with_the_reason(workshop: Any, job: Any) -> None:
    draw(workshop, job, BOX)
    draw(workshop, job, WIDER, reason="looked again")
    assert numbers(workshop, job) == ["45", "50", "50", "40"]
    later = workshop.state(job.id).context.readings[5:]
    assert [(r.entry, r.reason) for r in later] == [
        (key, "looked again") for key in ("drive_outline", "drive_along", "drive_length")
    ]
    assert all(r.replaces for r in later)


def test_a_typed_number_moves_the_print(workshop: Any, job: Any) -> None:
    draw(workshop, job, BOX)
    workshop.record(job.id, STAGE, "drive_along", "55.5", trial=1, reason="measured")
    assert outline(workshop, job) == "35.5 30; 75.5 30; 75.5 70; 35.5 70"
    workshop.record(job.id, STAGE, "drive_height", "20", trial=1, reason="measured")
    assert outline(workshop, job) == "35.5 40; 75.5 40; 75.5 60; 35.5 60"
    assert numbers(workshop, job) == ["55.5", "50", "40", "20"]


def test_a_number_near_enough_moves_nothing(workshop: Any, job: Any) -> None:
    draw(workshop, job, BOX)
    workshop.record(job.id, STAGE, "drive_along", "40.3", trial=1, reason="measured")
    assert outline(workshop, job) == BOX
    assert numbers(workshop, job)[0] == "40.3"


def test_where_the_tooth_has_no_room_the_number_stays_and_the_outline_is_taken_back(workshop: Any, job: Any) -> None:
    draw(workshop, job, BOX)
    workshop.record(job.id, STAGE, "drive_along", "10", trial=1, reason="measured")
    assert outline(workshop, job) == ""
    assert numbers(workshop, job) == ["10", "50", "40", "40"]
    context = workshop.state(job.id).context
    assert [r.reason for r in context.readings if r.entry == "drive_outline"] == ["", "measured"]
    # What is left to draw is a round print that ends at the edge.
    (ring,) = print_at(context, STAGE, "drive", 1)
    assert min(a for a, _ in ring) == 0.0


def test_taking_the_print_back_takes_its_numbers_along(workshop: Any, job: Any) -> None:
    draw(workshop, job, BOX)
    workshop.withdraw(job.id, STAGE, "drive_outline", trial=1, person="Jory Pell", reason="wrong tooth")
    assert numbers(workshop, job) == [""] * 4
    last = workshop.state(job.id).context.readings[-5:]
    assert {r.reason for r in last} == {"wrong tooth"}


def test_taking_a_number_back_takes_the_print_along(workshop: Any, job: Any) -> None:
    draw(workshop, job, BOX)
    workshop.withdraw(job.id, STAGE, "drive_length", trial=1, person="Jory Pell", reason="not sure")
    assert outline(workshop, job) == ""
    assert numbers(workshop, job) == ["40", "50", "", "40"]


def test_numbers_alone_draw_nothing(workshop: Any, job: Any) -> None:
    workshop.record(job.id, STAGE, "drive_along", "40", trial=1)
    assert [r.entry for r in workshop.state(job.id).context.readings] == ["drive_along"]
    assert print_at(workshop.state(job.id).context, STAGE, "drive", 1) == ()


def test_a_print_over_numbers_typed_before_replaces_those_that_differ(workshop: Any, job: Any) -> None:
    for end, text in zip(NUMBERS, ("40", "50", "30", "40"), strict=True):
        workshop.record(job.id, STAGE, f"drive{end}", text, trial=1)
    draw(workshop, job, BOX, reason="drawn instead")
    assert numbers(workshop, job) == ["40", "50", "40", "40"]
    assert len(workshop.state(job.id).context.readings) == 6


def test_as_found_too(workshop: Any, job: Any) -> None:
    workshop.record(job.id, teardown.KEY, "contact_coast_outline", BOX)
    assert numbers(workshop, job, "contact_coast", teardown.KEY, 0) == ["40", "50", "40", "40"]


@pytest.mark.parametrize("text", ["20 20; 60 20; 60 120", "10 10; 90 90; 90 10; 10 90", "banana", "20 20; 60 20"])
def test_what_no_print_can_be_leaves_nothing_behind(workshop: Any, job: Any, text: str) -> None:
    draw(workshop, job, BOX)
    with pytest.raises(UserError) as refused:
        draw(workshop, job, text, reason="slip")
    assert refused.value.remedy
    assert len(workshop.state(job.id).context.readings) == 5


def test_one_bad_print_keeps_the_others_of_the_same_go_out(workshop: Any, job: Any) -> None:
    typed = [Typed("drive_outline", BOX), Typed("coast_outline", "20 20")]
    with pytest.raises(UserError):
        workshop.record_all(job.id, STAGE, typed, trial=1)
    assert workshop.state(job.id).context.readings == ()


def test_nobody_draws_over_what_he_has_not_seen(workshop: Any, job: Any) -> None:
    draw(workshop, job, BOX, seen=0)
    seen = workshop.state(job.id).context.reading(STAGE, "drive_outline", trial=1).id
    workshop.record(job.id, STAGE, "drive_along", "50", trial=1, reason="typed at another bench")
    with pytest.raises(ConflictError):
        draw(workshop, job, WIDER, reason="drawn", seen=seen)


def test_what_belongs_to_a_flank() -> None:
    declared = stage(STAGE)
    assert flank_of(declared.entry("coast_depth")) == "coast"
    assert flank_of(declared.entry("drive_outline")) == "drive"
    assert flank_of(declared.entry("pinion_shim")) == ""
    assert flank_of(stage("teardown").entry("contact_drive_height")) == "contact_drive"
    assert numbers_of(read_outline(BOX)) == {"_along": 0.4, "_depth": 0.5, "_length": 0.4, "_height": 0.4}
