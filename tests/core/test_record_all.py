"""Several readings of a stage taken in one go: each as by itself, all of them or none."""

from __future__ import annotations

from typing import Any

import pytest

from core.errors import UserError
from core.workshop.bench import Typed


def test_each_is_taken_as_by_itself(workshop: Any, job: Any) -> None:
    typed = [
        Typed("backlash_found", "0.14", "at_000"),
        Typed("backlash_found", "0,15", "at_045", gauge_id=1),
        Typed("torque_whole", "9.5 in-lb", reason="read anew"),
    ]
    workshop.record_all(job.id, "teardown", typed, person="Jory Pell")
    readings = workshop.state(job.id).context.readings
    assert [(r.entry, r.position, r.text, r.gauge_id, r.reason) for r in readings] == [
        ("backlash_found", "at_000", "0.14", None, ""),
        ("backlash_found", "at_045", "0,15", 1, ""),
        ("torque_whole", "", "9.5 in-lb", None, "read anew"),
    ]
    assert {r.person for r in readings} == {"Jory Pell"}


def test_the_later_replaces_the_earlier_at_one_place(workshop: Any, job: Any) -> None:
    slip, right = Typed("torque_whole", "95 in-lb"), Typed("torque_whole", "9.5 in-lb", reason="slip of the pen")
    workshop.record_all(job.id, "teardown", [slip, right])
    first, second = workshop.state(job.id).context.readings
    assert (second.replaces, second.reason) == (first.id, "slip of the pen")


def test_one_that_is_refused_keeps_all_of_them_out(workshop: Any, job: Any) -> None:
    typed = [Typed("torque_whole", "9.5 in-lb"), Typed("runout_found", "banana")]
    with pytest.raises(UserError, match="banana"):
        workshop.record_all(job.id, "teardown", typed)
    assert workshop.state(job.id).context.readings == ()


def test_the_rules_see_what_was_taken_just_before(workshop: Any, job: Any) -> None:
    rings = [Typed("ring_gear_side", "2.52"), Typed("opposite_side", "2.53")]
    torques = [Typed("torque_forward", "0.60"), Typed("torque_back", "0.65")]
    workshop.record_all(job.id, "preload", [*rings, *torques, Typed("accepted", "yes")], trial=1)
    pair = [Typed("ring_gear_side", "2.60"), Typed("opposite_side", "2.60")]
    with pytest.raises(UserError, match="ring sum"):
        workshop.record_all(job.id, "backlash", pair, trial=1)
