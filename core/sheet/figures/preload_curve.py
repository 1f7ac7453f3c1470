"""Turning torque against ring sum: one mark for each preload trial, with the limits as a band."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportlab.graphics.shapes import Drawing

from core.language import tr
from core.quantities import number, unit_for
from core.sheet.figures.axes import Axis, scale_up
from core.sheet.figures.draw import Sheet, all_finite, finite, nothing_yet
from core.sheet.figures.marks import put_mark
from core.sheet.figures.palette import Palette, mix
from core.sheet.fonts import BOLD
from core.verdict import Answer


@dataclass(frozen=True)
class Trial:
    """One preload trial: ring sum [mm] and the turning torques read [N·m]."""

    number: int
    ring_sum_mm: float | None
    torques_nm: Sequence[float]
    answer: Answer | None = None
    is_accepted: bool = False


@dataclass(frozen=True)
class CurveInput:
    """The trials and the limits of the turning torque [N·m]."""

    trials: Sequence[Trial]
    low_nm: float | None = None
    high_nm: float | None = None
    units: str = "metric"


def preload_curve(shown: CurveInput, palette: Palette, size: tuple[float, float]) -> Drawing:
    """Draw turning torque against ring sum; without sums the trials stand in their order.

    Parameters
    ----------
    shown : CurveInput
        Trials [mm, N·m] and limits [N·m]; a trial without a torque is left out.
    palette : Palette
        Colours.
    size : tuple of float
        Width and height [pt].
    """
    trials = [t for t in shown.trials if all_finite(t.torques_nm)]
    if not trials:
        return nothing_yet(size, palette, tr("No turning torque measured yet"))
    sheet = Sheet(size, palette)
    has_sums = all(finite(t.ring_sum_mm) is not None for t in trials)
    place: Callable[[Trial], float] = (lambda t: t.ring_sum_mm or 0.0) if has_sums else (lambda t: float(t.number))
    across, up = _axes(sheet, shown, trials, [place(t) for t in trials])
    _band(sheet, across, up, shown)
    _scale(sheet, across, up, shown.units)
    _foot(sheet, across, up, [place(t) for t in trials], shown.units, has_sums=has_sums)
    last = -1e9
    for trial in sorted(trials, key=place):
        x = across.at(place(trial))
        is_named = trial.is_accepted or x - last >= 1.8 * sheet.type_pt
        _trial(sheet, trial, x, up, is_named=is_named)
        last = x if is_named else last
    return sheet.drawing


def _axes(sheet: Sheet, shown: CurveInput, trials: Sequence[Trial], places: Sequence[float]) -> tuple[Axis, Axis]:
    margin = sheet.type_pt
    torques = [v for t in trials for v in all_finite(t.torques_nm)]
    torques += all_finite((shown.low_nm, shown.high_nm))
    highest = max(torques) * 1.15 or 1.0
    span = (max(places) - min(places)) or max(abs(max(places)) * 0.02, 0.02)
    middle = (max(places) + min(places)) / 2
    across = Axis(middle - span * 0.64, middle + span * 0.64, margin * 3.6, sheet.width - margin * 1.2)
    up = Axis(min(0.0, min(torques)), highest, margin * 3.4, sheet.height - margin * 2.4)
    return across, up


def _band(sheet: Sheet, across: Axis, up: Axis, shown: CurveInput) -> None:
    low, high = finite(shown.low_nm), finite(shown.high_nm)
    if low is None and high is None:
        return
    bottom = up.start_pt if low is None else up.at(low)
    top = up.end_pt if high is None else up.at(high)
    fill = mix(sheet.palette.conforms, sheet.palette.ground, 0.16)
    sheet.box((across.start_pt, bottom), across.end_pt - across.start_pt, top - bottom, fill=fill)
    for limit, y in ((low, bottom), (high, top)):
        if limit is not None:
            dash = sheet.type_pt * 0.3
            sheet.line((across.start_pt, y), (across.end_pt, y), colour=sheet.palette.conforms, dash=dash)


def _scale(sheet: Sheet, across: Axis, up: Axis, units: str) -> None:
    """Write round torques up the side and the unit above them."""
    unit = unit_for("torque", units, "n_m")
    scale_up(sheet, up, across.start_pt, "torque", unit)
    above = sheet.type_pt * 0.4, sheet.height - sheet.type_pt * 1.2
    sheet.text(above, tr("turning torque, {unit}", unit=unit.label), anchor="start", colour=sheet.palette.quiet)


def _foot(sheet: Sheet, across: Axis, up: Axis, places: Sequence[float], units: str, *, has_sums: bool) -> None:
    """Write the ring sums that were tried under the axis, as many as fit side by side."""
    unit = unit_for("length", units, "mm")
    y = up.start_pt
    sheet.line((across.start_pt, y), (across.end_pt, y), colour=sheet.palette.quiet)
    last = -1e9
    for place in sorted(set(places)):
        x = across.at(place)
        sheet.line((x, y), (x, y - sheet.type_pt * 0.3), colour=sheet.palette.quiet)
        if x - last >= sheet.type_pt * 3.4:
            text = number("length", place, unit.id) if has_sums else f"{place:.0f}"
            sheet.text((x, y - sheet.type_pt * 1.3), text, colour=sheet.palette.quiet)
            last = x
    name = tr("ring sum, {unit}", unit=unit.label) if has_sums else tr("trial")
    sheet.text((across.end_pt, sheet.type_pt * 0.6), name, anchor="end", colour=sheet.palette.quiet)


def _trial(sheet: Sheet, trial: Trial, x: float, up: Axis, *, is_named: bool) -> None:
    """Draw one trial: what was read forward and back, the mean's mark between them, and its number."""
    torques = all_finite(trial.torques_nm)
    mean = up.at(sum(torques) / len(torques))
    reach = sheet.type_pt * 0.35
    sheet.line((x, up.at(min(torques))), (x, up.at(max(torques))), width_pt=sheet.hair_pt * 1.6)
    for torque in torques:
        sheet.line((x - reach, up.at(torque)), (x + reach, up.at(torque)), width_pt=sheet.hair_pt * 1.6)
    radius = sheet.type_pt * 0.38
    if trial.is_accepted:
        sheet.circle((x, mean), radius * 1.9, colour=sheet.palette.accent, width_pt=sheet.hair_pt * 1.6)
    if trial.answer is None:
        sheet.circle((x, mean), radius, fill=sheet.palette.ink)
    else:
        put_mark(sheet, (x, mean), radius, trial.answer)
    if not is_named:
        return
    name = tr("trial {number}, accepted", number=trial.number) if trial.is_accepted else str(trial.number)
    top = up.at(max(torques)) + sheet.type_pt * 0.75
    is_far_right = x > sheet.width * 0.75
    sheet.text(
        (x + (reach if is_far_right else -reach), top), name,
        anchor="end" if is_far_right else "start", face=BOLD if trial.is_accepted else "Roboto",
    )  # fmt: skip
