"""Whatever a job's readings are, the advice answers: finite numbers, chances that are chances, and plain words."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from answering import check_answer, numbers_in
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from core.advice import Known, advise
from core.advice.lessons import lesson_of
from core.advice.priors import PastJob, family_of
from core.errors import PinionbookError
from core.facts import CardFact, Gauge, Limit, Part

Paper = Callable[..., Any]
STAGES = ("preload", "backlash")
# A job that fails is told whole in the report; to shrink one of a hundred draws takes minutes and adds little.
ONE_PAPER = settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    max_examples=80,
    phases=[Phase.explicit, Phase.generate],
)

GAUGES = [
    Gauge(1, "fine wrench", "torque", "torque", 0.01, 0.02),
    Gauge(2, "spring scale", "torque", "torque", 0.2, 0.3),
    Gauge(3, "dial", "dial", "length", 0.01, 0.005),
    Gauge(4, "worn dial", "dial", "length", 0.05, 0.05),
]


RINGS = st.integers(2250, 2850).map(lambda n: f"{n / 1000:.3f}")
NOTCHES = st.integers(0, 400).map(str)
TORQUES = st.one_of(
    st.floats(0.0, 2.0).map(lambda x: f"{x:.2f}"), st.sampled_from(["0", "60", "0.5", "1", "25", "5 in-lb"])
)
LASHES = st.one_of(
    st.floats(0.0, 0.3).map(lambda x: f"{x:.3f}"), st.sampled_from(["0", "3", "0.06", "0.1", "0.004 in"])
)
SIZES = st.one_of(st.none(), st.integers(2250, 2850).map(lambda n: n / 1000))


@st.composite
def drawers(draw: Any) -> list[Part]:
    """Draw rings and shims, measured or not, some gone."""
    sizes = draw(st.lists(st.tuples(SIZES, st.integers(0, 3), st.integers(0, 3)), max_size=8))
    return [
        Part(
            at,
            draw(st.sampled_from(["ring", "shim", "spacer"])),
            "",
            draw(st.sampled_from(["", f"A{at}"])),
            size,
            count,
            measured_mm=tuple((size or 2.5) + 0.001 * k for k in range(places)),
        )
        for at, (size, count, places) in enumerate(sizes, start=1)
    ]


LIMITS = st.sampled_from(
    [
        {},
        {"turning_torque": Limit("turning_torque", 0.5, None)},
        {"turning_torque": Limit("turning_torque", 0.7, 0.71)},
        {"backlash": Limit("backlash", None, 0.1)},
        {"backlash": Limit("backlash", 0.08, 0.081)},
        {"turning_torque": None, "backlash": None},
        {"turning_torque": Limit("turning_torque", 0.0, 0.0), "backlash": Limit("backlash", 0.1, 0.06)},
        {"turning_torque": Limit("turning_torque", 30.0, 40.0), "backlash": Limit("backlash", 2.0, 3.0)},
    ]
)
FACTS = st.sampled_from(
    [
        {},
        {"gear_outer_diameter": None},
        {"ring_smallest": None},
        {"ring_smallest": None, "ring_largest": None, "ring_sum_tolerance": None},
        {"nut_thread_pitch": None},
        {"nut_notches": None},
        {"pinion_offset": CardFact("pinion_offset", 40.0, "40 mm")},
        {"pressure_angle": CardFact("pressure_angle", 60.0, "60")},
        {"ring_sum_tolerance": CardFact("ring_sum_tolerance", 0.0, "0")},
    ]
)
PASTS = st.lists(
    st.builds(
        PastJob,
        zero_mm=st.one_of(st.none(), st.tuples(st.floats(4.6, 5.6), st.floats(1e-3, 0.2))),
        log_rise=st.one_of(st.none(), st.tuples(st.floats(-3.0, 2.0), st.floats(1e-2, 0.4))),
        lash_mm=st.one_of(st.none(), st.tuples(st.floats(-0.3, 0.5), st.floats(1e-3, 0.2))),
        rate_ratio=st.one_of(st.none(), st.tuples(st.floats(0.5, 1.5), st.floats(1e-2, 0.2))),
        found_mm=st.one_of(st.none(), st.floats(4.6, 5.6)),
        found_lash_mm=st.one_of(st.none(), st.floats(-0.3, 0.5)),
        has_heights=st.booleans(),
    ),
    max_size=4,
)


def tell(job: Any, draw: Callable[[Any], Any]) -> None:
    """Tell a job at random, as far as the bench takes what is typed."""
    is_nuts = job.job.card.text("setting_method") == "adjuster_nuts"
    is_inch = job.job.card.family == "Kelda 3"
    sides = NOTCHES if is_nuts else RINGS.map(lambda t: f"{float(t) * 2.5 / 25.4:.4f} in") if is_inch else RINGS

    def read(stage: str, entry: str, text: str | None, position: str = "", trial: int = 0, use: int = 0) -> None:
        if text is None:
            return
        try:
            job.read(stage, entry, text, position, trial, use or None)
        except PinionbookError:
            return  # the bench says why, and takes nothing

    maybe = st.booleans()
    if not is_nuts:
        for side in ("ring_gear_side", "opposite_side"):
            read("teardown", f"rings_found_{side}", draw(st.one_of(st.none(), sides)))
    if draw(maybe):
        for at in range(0, 360, 45):
            read("teardown", "backlash_found", draw(LASHES), f"at_{at:03d}")
    if draw(maybe) and not is_nuts:
        read("preload", "stack_casing", "200.00")
        read("preload", "stack_carrier", draw(st.sampled_from(["195.00", "194.9", "150", "199.99"])))
        for side in ("left", "right"):
            read("preload", "cup_stand", draw(st.sampled_from(["0.00", "-0.02", "1", "40"])), side)
    for name in ("old_flange_height", "new_flange_height", "spacer"):
        read("backlash", name, draw(st.sampled_from([None, "38.15", "41.35", "3.2"])))
    read("backlash", "runout", draw(st.sampled_from([None, "0", "0.02", "0.09", "1"])))
    prefix = "nut_" if is_nuts else ""
    torque_gauge, dial = draw(st.sampled_from([0, 1, 2])), draw(st.sampled_from([0, 3, 4]))
    count = draw(st.integers(0, 4))
    for trial in range(1, count + 1):
        for side in ("ring_gear_side", "opposite_side"):
            read("preload", prefix + side, draw(st.one_of(sides, sides, st.none())), trial=trial)
        for way in ("torque_forward", "torque_back"):
            read("preload", way, draw(st.one_of(TORQUES, TORQUES, st.none())), trial=trial, use=torque_gauge)
    if not count or draw(maybe):
        return
    read("preload", "accepted", "yes", trial=count)
    fixed = [
        job.context.value("preload", f"{prefix}{side}", trial=count) for side in ("ring_gear_side", "opposite_side")
    ]
    if None in fixed:
        return
    for trial in range(1, draw(st.integers(0, 4)) + 1):
        move = draw(st.integers(-100, 100))
        step, shown = (1, "{:.0f}") if is_nuts else (1000, "{:.3f}")
        read("backlash", prefix + "ring_gear_side", shown.format(fixed[0] - move / step), trial=trial)
        read("backlash", prefix + "opposite_side", shown.format(fixed[1] + move / step), trial=trial)
        usual = draw(LASHES)
        for at in range(0, draw(st.sampled_from([45, 180, 360])), 45):
            odd = draw(st.integers(0, 9)) == 0
            read("backlash", "backlash", draw(LASHES) if odd else usual, f"at_{at:03d}", trial, dial)
    if draw(st.integers(0, 5)) == 0:
        read("backlash", "accepted", "yes", trial=1)


@ONE_PAPER
@given(st.data())
def test_a_job_of_any_readings_is_answered(paper: Paper, data: st.DataObject) -> None:
    family = data.draw(st.sampled_from(["Orrin B", "Orrin B", "Kelda 3", "Vask T"]))
    job = paper(
        family,
        is_limited_slip=data.draw(st.booleans()),
        limits=data.draw(LIMITS),
        facts=data.draw(FACTS),
        gauges=GAUGES,
    )
    tell(job, data.draw)
    past = data.draw(PASTS)
    parts = data.draw(drawers())
    fitted = data.draw(st.sampled_from([None, (1, 2)]))
    known = Known(parts, fitted, family_of(past), data.draw(st.sampled_from([(), GAUGES])))
    state = job.state()
    for stage in STAGES:
        check_answer(advise(stage, state, known))
    lesson = lesson_of(job.context)
    assert all(math.isfinite(number) for number in numbers_in(lesson))
    family_of([*past, lesson])
