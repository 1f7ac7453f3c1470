"""The same job typed in millimetres and newton-metres and in inches and pound-inches: the same verdicts throughout."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from told import Place, course

from core.drafts import JobDraft
from core.quantities import KINDS
from core.stages import evaluate_job, stage
from core.stages.context import Context
from core.stages.entry import Entry
from core.stages.state import JobState
from core.verdict import Answer

PER_UNIT = {
    # exact, NIST SP 811: one of the inch unit in the metric one it replaces
    "length": ("mm", "in", Decimal("25.4")),
    "torque": ("N·m", "lbf·in", Decimal("0.1129848290276167")),
    "volume": ("L", "US qt", Decimal("0.946352946")),
}
METRIC_OF = {
    "mm": Decimal(1), "n_m": Decimal(1), "l": Decimal(1), "ml": Decimal("0.001"),
    "lbf_in": Decimal("0.1129848290276167"), "us_qt": Decimal("0.946352946"), "in": Decimal("25.4"),
}  # fmt: skip
EDGES: dict[Place, str] = {
    # every value exactly on one of its limits, or as far out as the tolerance lets it
    ("backlash", "runout", "", 0): "0.05",
    ("backlash", "bolt_setting", "", 0): "120",  # 120 · 450/400 = 135
    ("backlash", "backlash", "at_000", 2): "0.06",
    ("backlash", "backlash", "at_045", 2): "0.10",
    ("backlash", "opposite_side", "", 2): "2.47",  # 2.60 + 2.47 is 0.02 over the ring sum
    ("preload", "torque_forward", "", 3): "0.50",
    ("preload", "torque_back", "", 3): "1.00",
    ("housing_prep", "running_clearance", "no_1", 0): "0.8",
    ("housing_prep", "cup_bore", "left", 0): "74.979",
    ("housing_prep", "cup_bore", "right", 0): "75.009",
    ("preload", "cone_temperature", "", 0): "120 °C",
    ("fill", "groove_radius", "", 0): "0.8",
    ("fill", "groove_width", "", 0): "2.5",
    ("fill", "groove_diameter", "", 0): "25.8",
    ("fill", "cover_bolt_torque", "", 0): "28",
    ("fill", "oil_volume", "", 0): "1.2",
    ("fill", "final_turning_torque", "", 0): "0.80",
    ("teardown", "plate_thickness", "no_1", 0): "1.95",
    ("teardown", "clutch_pack", "", 0): "25.20",
    ("teardown", "breakaway_torque", "", 0): "45",
}
BEYOND: dict[Place, str] = {
    # a ten-thousandth of a millimetre or newton-metre past the limit
    ("backlash", "runout", "", 0): "0.0501",
    ("backlash", "backlash", "at_000", 2): "0.0599",
    ("preload", "torque_back", "", 3): "1.0001",
    ("fill", "groove_radius", "", 0): "0.7999",
    ("fill", "oil_volume", "", 0): "1.2001",
}


def in_inches(entry: Entry, text: str) -> str:
    """Return a metric reading as somebody with inch gauges would type it, to the last decimal."""
    if entry.kind == "temperature":
        return f"{Decimal(text.removesuffix('°C').strip()) * 9 / 5 + 32:f} °F"
    if entry.kind not in PER_UNIT:
        return text
    _, label, size = PER_UNIT[entry.kind]
    return f"{metric(entry, text) / size:f} {label}"


def in_metric(entry: Entry, text: str) -> str:
    """Return a reading in mm, N·m or L, whatever it was told in."""
    return f"{metric(entry, text):f} {PER_UNIT[entry.kind][0]}" if entry.kind in PER_UNIT else text


def metric(entry: Entry, text: str) -> Decimal:
    typed = text.replace(",", ".")
    number, _, unit = typed.partition(" ")
    named = {"in-lb": "lbf_in", "qt": "us_qt"}.get(unit, entry.unit)
    return Decimal(number) * METRIC_OF[named]


def opened(workshop: Any, number: str) -> Any:
    cards = {card.family: card for card in workshop.cards()}
    return workshop.new_job(
        JobDraft(
            number=number,
            serial=f"K-{number}",
            customer="Brackwater Hill-climb Club",
            ring_gear_teeth="43",
            pinion_teeth="11",
            is_limited_slip=True,
            card_id=cards["Orrin B"].id,
        )
    )


def tell(workshop: Any, job: Any, texts: dict[Place, str], write: Callable[[Entry, str], str]) -> JobState:
    """Type readings, each written in one system; return the job judged."""
    for (stage_key, key, position, trial), text in texts.items():
        entry = stage(stage_key).entry(key)
        workshop.record(job.id, stage_key, key, write(entry, text), position=position, trial=trial)
    return workshop.state(job.id)


def with_gauges(state: JobState) -> JobState:
    """Return the job as it is judged when every reading names the gauge that lies there for it."""
    context = state.context
    by_use = {gauge.use: gauge.id for gauge in reversed(list(context.gauges.values()))}
    readings = (replace(r, gauge_id=by_use.get(stage(r.stage).entry(r.entry).gauge)) for r in context.readings)
    return evaluate_job(Context(context.job, tuple(readings), context.gauges))


def verdicts(state: Any) -> dict[Any, str]:
    """Return every answer of a job by its place."""
    found: dict[Any, str] = {}
    for stage_state in state.stages:
        key = stage_state.stage.key
        found[key] = stage_state.verdict.answer.value
        fields = [*stage_state.fields, *(f for t in stage_state.trials for f in t.fields)]
        derived = [*stage_state.derived, *(d for t in stage_state.trials for d in t.derived)]
        found |= {(key, f.entry.key, f.position.key, f.trial): _answer(f.verdict) for f in fields}
        found |= {(key, d.derived.key, "derived", d.trial): _answer(d.verdict) for d in derived}
        found |= {(key, "trial", t.number): t.verdict.answer.value for t in stage_state.trials}
    return found


def _answer(verdict: Any) -> str:
    return "" if verdict is None else verdict.answer.value


def test_both_systems_judge_alike_on_the_limits_too(workshop: Any) -> None:
    one, other = opened(workshop, "1"), opened(workshop, "2")
    for texts, on_the_limits in ((course("orrin"), None), (EDGES, Answer.CONFORMS), (BEYOND, Answer.DOES_NOT_CONFORM)):
        metric_state = tell(workshop, one, texts, in_metric)
        inch_state = tell(workshop, other, texts, in_inches)
        assert verdicts(inch_state) == verdicts(metric_state)
        assert verdicts(with_gauges(inch_state)) == verdicts(with_gauges(metric_state))
        assert {"conforms", "uncertain"} <= set(verdicts(with_gauges(metric_state)).values())
        for place in texts if on_the_limits else ():
            assert verdicts(metric_state)[place] in (on_the_limits.value, ""), place
        if on_the_limits:
            assert verdicts(metric_state)["backlash", "bolt_torque", "derived", 0] == "conforms", (
                "135 N·m, on its limit"
            )
            assert verdicts(metric_state)["backlash"] == on_the_limits.value
    assert {r.unit for r in inch_state.context.readings if r.unit} == {
        "in",
        "lbf_in",
        "us_qt",
        "deg_f",
        "percent",
        "one",
    }
    for mine, theirs in zip(metric_state.context.readings, inch_state.context.readings, strict=True):
        assert (theirs.value or 0.0) == pytest.approx(mine.value or 0.0, abs=1e-12)


def test_the_advice_is_the_same_move(workshop: Any) -> None:
    so_far = {
        place: text
        for place, text in course("orrin").items()
        if place[0] == "preload" or (place[0] == "backlash" and place[3] < 2)
    }
    said = []
    for number, write in (("1", in_metric), ("2", in_inches)):
        job = opened(workshop, number)
        tell(workshop, job, so_far, write)
        said.append(workshop.advice(job.id, "backlash"))
    assert said[0].title == said[1].title == "Too much backlash"
    assert said[0].offer.parts == said[1].offer.parts
    assert said[0].offer.chance == pytest.approx(said[1].offer.chance, abs=1e-6)
    assert said[0].offer.expected == pytest.approx(said[1].offer.expected, abs=1e-6)
    one, other = said[0].offer.parts
    assert f"Fit {one.thickness_mm:.3f} mm from {one.place} on" in said[0].text
    assert f"Fit {one.thickness_mm / 25.4:.4f} in from {one.place} on" in said[1].text
    assert " mm" not in said[1].text
    assert said[0].wanted.sum_mm == pytest.approx(5.05, abs=0.02)
    assert one.thickness_mm > other.thickness_mm, "toward the pinion"


def test_the_conversions_are_the_programs_own() -> None:
    for kind, (label, inch_label, size) in PER_UNIT.items():
        units = {unit.label: unit for unit in KINDS[kind].units}
        assert units[label] is KINDS[kind].canonical
        assert units[inch_label].size.startswith(str(size))
