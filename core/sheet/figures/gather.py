"""From a judged job to figures: each figure's numbers are looked up here, and only here."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from reportlab.graphics.shapes import Drawing, Group

from core.facts import LEFT, RIGHT, Limit
from core.language import tr
from core.sheet.figures.contact import ContactInput, Patch, ToothInput, contact
from core.sheet.figures.draw import NothingYet, nothing_yet
from core.sheet.figures.groove import GrooveInput, groove
from core.sheet.figures.palette import Palette
from core.sheet.figures.preload_curve import CurveInput, Trial, preload_curve
from core.sheet.figures.ring_stack import StackInput, ring_stack
from core.sheet.figures.wheel import Place, WheelInput, backlash_wheel
from core.stages import backlash, contact_pattern, fill, preload, teardown
from core.stages.prints import NUMBERS, OUTLINE, rings_at
from core.stages.sides import OPPOSITE_SIDE, RING_GEAR_SIDE, is_side, side_mm
from core.stages.state import FieldState, JobState, StageState, TrialState
from core.stages.tooth import COAST, DRIVE, tooth_of
from core.verdict import Answer, overall

Size = tuple[float, float]
Draw = Callable[[StageState, JobState, Palette, Size, str], Drawing]


def stage_of(job: JobState, key: str) -> StageState | None:
    """Return a stage by its key, or None where this job has no such stage."""
    return next((s for s in job.stages if s.stage.key == key), None)


def shown_trial(stage: StageState | None, entry: str | tuple[str, ...]) -> TrialState | None:
    """Return the accepted trial, else the last one with a reading whose key ends in `entry`."""
    if stage is None:
        return None
    read = [t for t in stage.trials if any(f.reading and f.entry.key.endswith(entry) for f in t.fields)]
    return stage.accepted or (read[-1] if read else None)


def _wheel(stage: StageState, job: JobState, palette: Palette, size: Size, units: str) -> Drawing:
    before = stage_of(job, teardown.KEY)
    found = _places(before.fields if before else (), "backlash_found")
    trial = shown_trial(stage_of(job, backlash.KEY), "backlash")
    places = _places(trial.fields, "backlash") if trial else ()
    if stage.stage.key == teardown.KEY:
        places, found = found, ()
    low, high = _limits(job.context.card.limits, "backlash")
    teeth = job.context.job.ring_gear_teeth
    return backlash_wheel(WheelInput(places, low, high, found, teeth, units), palette, size)


def _places(fields: Iterable[FieldState], entry: str) -> tuple[Place, ...]:
    return tuple(
        Place(
            f.position.angle_deg or 0.0,
            f.position.label,
            f.judged_value,
            f.verdict.answer if f.verdict else None,
        )
        for f in fields
        if f.entry.key == entry
    )


def _limits(limits: Mapping[str, Limit], key: str) -> tuple[float | None, float | None]:
    limit = limits.get(key)
    return (None, None) if limit is None else (limit.low, limit.high)


def _stack(stage: StageState, job: JobState, palette: Palette, size: Size, units: str) -> Drawing:
    card = job.context.card
    gear_on = card.text("ring_gear_side")
    if gear_on not in (LEFT, RIGHT):
        return nothing_yet(size, palette, tr("The spec card does not say on which side the ring gear sits"))
    of_stage = next((key for key in (stage.stage.key, backlash.KEY, preload.KEY) if _has_sides(job, key)), "")
    trial = shown_trial(stage_of(job, of_stage), "_side")
    if trial is None:
        return nothing_yet(size, palette, tr("No rings measured yet"))
    near, far = (side_mm(job.context, of_stage, trial.number, side) for side in (RING_GEAR_SIDE, OPPOSITE_SIDE))
    title = tr("trial {number}", number=trial.number)
    return ring_stack(StackInput(near, far, gear_on, card.text("setting_method"), title, units), palette, size)


def _has_sides(job: JobState, key: str) -> bool:
    """Tell whether a stage has a trial that says what sits on a side."""
    state = stage_of(job, key)
    return state is not None and any(f.reading and is_side(f.entry.key) for t in state.trials for f in t.fields)


def _curve(stage: StageState, job: JobState, palette: Palette, size: Size, units: str) -> Drawing:
    state = stage_of(job, preload.KEY)
    low, high = _limits(job.context.card.limits, "turning_torque")
    trials = tuple(_curve_trial(t) for t in state.trials) if state else ()
    return preload_curve(CurveInput(trials, low, high, units), palette, size)


def _curve_trial(trial: TrialState) -> Trial:
    torques = [
        f.reading.value
        for f in trial.fields
        if f.entry.kind == "torque" and f.reading is not None and f.reading.value is not None
    ]
    derived = {d.derived.key: d for d in trial.derived}
    ring_sum, mean = derived.get("ring_sum"), derived.get("torque_mean")
    answer = mean.verdict.answer if mean and mean.verdict and mean.value is not None else None
    return Trial(trial.number, ring_sum.value if ring_sum else None, torques, answer, trial.is_accepted)


def _contact(stage: StageState, job: JobState, palette: Palette, size: Size, units: str) -> Drawing:
    is_teardown = stage.stage.key == teardown.KEY
    trial = None if is_teardown else shown_trial(stage_of(job, contact_pattern.KEY), ("_along", OUTLINE))
    return contact(_contact_input(job, trial.number if trial else None, has_found=True), palette, size)


def contact_of_trial(job: JobState, trial: int, palette: Palette, size: Size) -> Drawing:
    """Draw the contact pattern of one trial by itself; what of the tooth is only as usual the stage's figure says."""
    shown = _contact_input(job, trial, has_found=False)
    return contact(replace(shown, tooth=replace(shown.tooth, assumed=())), palette, size)


def _contact_input(job: JobState, trial: int | None, *, has_found: bool) -> ContactInput:
    context = job.context

    def patch(stage_key: str, flank: str, number: int) -> Patch:
        along, depth, length, height = (context.value(stage_key, flank + end, trial=number) for end in NUMBERS)
        return Patch(along, depth, length, height, rings_at(context, stage_key, flank, number))

    drive, coast = (
        ToothInput(
            patch(contact_pattern.KEY, flank, trial) if trial else None,
            patch(teardown.KEY, f"contact_{flank}", 0) if has_found else None,
            _limits(context.card.limits, "contact_along"),
            _limits(context.card.limits, "contact_depth"),
        )
        for flank in (DRIVE, COAST)
    )
    return ContactInput(drive, coast, tooth_of(context.job))


def _groove(stage: StageState, job: JobState, palette: Palette, size: Size, units: str) -> Drawing:
    context, state = job.context, stage_of(job, fill.KEY)
    width, diameter, radius, position = (
        context.value(fill.KEY, f"groove_{what}") for what in ("width", "diameter", "radius", "position")
    )
    if radius is None and context.text(fill.KEY, "groove_bottom") == "square":
        radius = 0.0
    judged = [
        f.verdict
        for f in (state.fields if state else ())
        if f.entry.key in ("groove_bottom", "groove_radius") and f.reading is not None and f.verdict is not None
    ]
    answer: Answer | None = overall(judged) if judged else None
    return groove(GrooveInput(width, diameter, radius, position, answer, units), palette, size)


def _one_over_other(above: Draw, below: Draw, share: float) -> Draw:
    """Return a figure made of two, the upper one with `share` of the height."""

    def draw(stage: StageState, job: JobState, palette: Palette, size: Size, units: str) -> Drawing:
        width, height = round(size[0]), round(size[1])
        low = round(size[1] * (1 - share))
        parts = [
            (above(stage, job, palette, (width, height - low), units), low),
            (below(stage, job, palette, (width, low), units), 0),
        ]
        is_empty = all(isinstance(drawn, NothingYet) for drawn, _ in parts)
        whole = NothingYet(width, height) if is_empty else Drawing(width, height)
        for drawn, lift in parts:
            whole.add(Group(*drawn.contents, transform=(1, 0, 0, 1, 0, lift)))
        return whole

    return draw


FIGURES: dict[str, Draw] = {
    "backlash_wheel": _wheel,
    "ring_stack": _stack,
    "preload_curve": _curve,
    "contact": _contact,
    "groove": _groove,
    "teardown": _one_over_other(_wheel, _contact, 0.66),
    "preload": _one_over_other(_stack, _curve, 0.5),
}
"""Every figure by the name a stage declares it under."""

SIZES: dict[str, Size] = {
    "backlash_wheel": (420.0, 400.0),
    "ring_stack": (420.0, 300.0),
    "preload_curve": (420.0, 280.0),
    "contact": (520.0, 240.0),
    "groove": (420.0, 300.0),
    "teardown": (420.0, 600.0),
    "preload": (420.0, 560.0),
}
"""Width and height [pt] at which each figure is easy to read on a screen; any other size will do."""


def figure(name: str, stage: StageState, job: JobState, palette: Palette, size: Size, units: str = "metric") -> Drawing:
    """Draw one of the figures from a judged job.

    Parameters
    ----------
    name : str
        One of `FIGURES`; KeyError where there is none of that name.
    stage : StageState
        The stage whose page or section it is for.
    job : JobState
        The whole job; figures that set found beside left look into other stages.
    palette : Palette
        Colours.
    size : tuple of float
        Width and height [pt].
    units : str
        ``metric`` or ``inch``.

    Returns
    -------
    Drawing
        Where nothing has been measured yet it says so in one line.
    """
    return FIGURES[name](stage, job, palette, size, units)
