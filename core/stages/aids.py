"""Helpers beside the entries: what the trade works out as it goes, from readings, the card and optional sizes.

Each aid is a few optional entries and a value worked out by one of `core.calculations`; it stays out of sight until
somebody fills in what it needs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from core.calculations import calculation, work_out
from core.errors import UserError
from core.language import mark, tr
from core.mechanics.lash import tangential_backlash_mm
from core.quantities import show
from core.stages.card import is_limited_slip
from core.stages.context import Context
from core.stages.entry import Derived, Entry, Position, Remark
from core.stages.worked import exact, worked
from core.verdict import ANSWER_WORDS, Answer

FITTING_CLEARANCE = "0.02 mm"
"""Room a heated cone needs to slide on (common practice)."""

SIDES = (Position("left", mark("left")), Position("right", mark("right")))


def _size(key: str, label: str, help_text: str, group: str, **more: object) -> Entry:
    """Return an optional length that only an aid asks for."""
    details: dict[str, object] = {"lowest": 0.0, "highest": 500.0, **more}
    return Entry(key, label, "length", "mm", needed=0, help=help_text, group=group, **details)  # type: ignore[arg-type]


def _read(context: Context, stage: str, entry: str, kind: str = "length", position: str = "", trial: int = 0) -> str:
    return exact(kind, context.value(stage, entry, position, trial))


# -- teardown ----------------------------------------------------------------------------------------------------------


def pack_entries(group: str) -> tuple[Entry, ...]:
    """Return what the clearance of a clutch pack needs besides its plates."""
    return (
        _size(
            "pack_space",
            mark("Space for the clutch pack"),
            mark("Only for the pack's clearance: measure the depth the plates sit in."),
            group,
            gauge="caliper",
            applies=is_limited_slip,
        ),
    )


def _pack(context: Context, trial: int) -> Mapping[str, str | None]:
    plates = context.values("teardown", "plate_thickness").values()
    return {"plates": "; ".join(exact("length", p) for p in plates), "space": _read(context, "teardown", "pack_space")}


PACK_DERIVED: tuple[Derived, ...] = (
    worked("pack_clearance", mark("Clearance of the clutch pack"), "plate-pack", "clearance", _pack),
)

# -- housing prep ------------------------------------------------------------------------------------------------------


def cup_entries(group: str) -> tuple[Entry, ...]:
    """Return what the fit of the cups needs besides their bores."""
    return (
        _size(
            "cup_diameter",
            mark("Outer diameter of the side-bearing cup"),
            mark("Only for the fit: measure the cup that goes into each bore."),
            group,
            positions=SIDES,
            gauge="micrometer",
        ),
    )


def _cup_fit(side: str) -> Derived:
    def gather(context: Context, trial: int) -> Mapping[str, str | None]:
        gauge = context.gauge_of("housing_prep", "cup_bore")
        return {
            "diameter": exact("length", context.card.number("cup_diameter")),
            "hole": context.card.text("cup_bore_class"),
            "shaft": context.card.text("cup_class"),
            "bore": _read(context, "housing_prep", "cup_bore", position=side),
            "seat": _read(context, "housing_prep", "cup_diameter", position=side),
            "resolution": exact("length", gauge.resolution if gauge else 0.001),
            "stated_error": exact("length", gauge.stated_error if gauge else 0.0),
        }

    labels = {
        "left": mark("Clearance of the left cup in its bore"),
        "right": mark("Clearance of the right cup in its bore"),
    }
    return worked(f"cup_clearance_{side}", labels[side], "measured-fit", "clearance", gather)


CUP_DERIVED: tuple[Derived, ...] = (_cup_fit("left"), _cup_fit("right"))


def cup_remarks(context: Context) -> Sequence[Remark]:
    """Say where a measured bore or cup is not of the class the card asks for."""
    found = []
    for derived in CUP_DERIVED:
        try:
            outcome = derived.work(context, 0) if derived.work else None
        except UserError:
            continue
        for part, name in (("bore", mark("bore")), ("seat", mark("cup"))):
            answer = outcome.results[f"{part}_verdict"] if outcome else Answer.CONFORMS.value
            if outcome and answer != Answer.CONFORMS.value:
                found.append(
                    Remark(
                        tr(
                            "{what}, {part}: {verdict}. {reason}",
                            what=tr(derived.label),
                            part=tr(name),
                            verdict=tr(ANSWER_WORDS[Answer(str(answer))]),
                            reason=outcome.results[f"{part}_reason"],
                        ),
                        is_warning=True,
                    )
                )
    return found


# -- preload -----------------------------------------------------------------------------------------------------------


def heating_entries(group: str) -> tuple[Entry, ...]:
    """Return what the heating temperature of a cone needs."""
    return (
        _size(
            "cone_bore",
            mark("Bore of the tightest cone"),
            mark("Only for the heating temperature: measure the cone's bore, cold."),
            group,
            gauge="bore_gauge",
        ),
        _size(
            "cone_seat",
            mark("Seat the cone goes on"),
            mark("Only for the heating temperature: measure the seat on the carrier."),
            group,
            gauge="micrometer",
        ),
    )


def _heating(context: Context, trial: int) -> Mapping[str, str | None]:
    bore, seat = context.value("preload", "cone_bore"), context.value("preload", "cone_seat")
    tight = None if bore is None or seat is None else seat - bore
    return {"bore": exact("length", bore), "interference": exact("length", tight), "clearance": FITTING_CLEARANCE}


HEATING_DERIVED = worked(
    "heat_cones_to",
    mark("Heat the cone to"),
    "heat-to-fit",
    "temperature",
    _heating,
    limit="cone_temperature",
    help=mark("With 0.02 mm of room to slide on (common practice); open bearings stay at or below 120 °C."),
)

# -- backlash ----------------------------------------------------------------------------------------------------------


def dial_entries(group: str) -> tuple[Entry, ...]:
    """Return how the dial stood, where it was not as the card's limit is measured."""
    return (
        _size(
            "gauge_radius",
            mark("Radius the stem touched at"),
            mark("Only if the dial could not stand where the limit is measured: from the gear's axis to the stem."),
            group,
        ),
        _size("reference_radius", mark("Radius the limit is for"), mark("Only with the radius above."), group),
        Entry(
            "stem_angle",
            mark("Stem off the direction of the limit"),
            "angle",
            "deg",
            needed=0,
            lowest=0.0,
            highest=90.0,
            help=mark("Only if the stem stood askew: the angle it was off."),
            group=group,
        ),
    )


def gauge_factor(context: Context) -> float:
    """Return what a reading of the dial is worth where the limit is measured: 1 unless the dial stood elsewhere.

    j = reading/cos ψ · r/r_gauge (derived; `core.mechanics.lash.tangential_backlash_mm`).
    """
    radius, limit_radius = context.value("backlash", "gauge_radius"), context.value("backlash", "reference_radius")
    angle = context.value("backlash", "stem_angle") or 0.0
    if not radius or not limit_radius:
        radius = limit_radius = 100.0
    try:
        return tangential_backlash_mm(1.0, radius, limit_radius, angle)
    except UserError:
        return 1.0


def dial_remarks(context: Context) -> Sequence[Remark]:
    """Say that readings are corrected, or that they cannot be."""
    factor, angle = gauge_factor(context), context.value("backlash", "stem_angle")
    if factor != 1.0:
        return [
            Remark(tr("Backlash is judged at {factor:.3f} times the reading: the dial stood elsewhere.", factor=factor))
        ]
    if angle:
        return [
            Remark(tr("The stem stood too far askew to correct for it: set it anew and read again."), is_warning=True)
        ]
    return []


def spacer_entries(group: str) -> tuple[Entry, ...]:
    """Return what the spacer for another carrier needs."""
    return (
        _size(
            "old_flange_height",
            mark("Flange height of the old carrier"),
            mark("Only for another carrier: from the bearing seat to the face the ring gear sits on."),
            group,
            gauge="caliper",
        ),
        _size(
            "new_flange_height",
            mark("Flange height of the new carrier"),
            mark("Only for another carrier: measured the same way."),
            group,
            gauge="caliper",
        ),
    )


def adapter_angle_entry(group: str) -> Entry:
    """Return the angle an adapter stands at."""
    return Entry(
        "adapter_angle",
        mark("Angle of the adapter"),
        "angle",
        "deg",
        needed=0,
        lowest=0.0,
        highest=180.0,
        help=mark("Only with an adapter: 0 straight out, 90 square (then nothing changes), 180 folded back."),
        group=group,
    )


def _spacer(context: Context, trial: int) -> Mapping[str, str | None]:
    return {
        "old_flange_height": _read(context, "backlash", "old_flange_height"),
        "new_flange_height": _read(context, "backlash", "new_flange_height"),
        "old_spacer": _read(context, "teardown", "spacer_found") or None,
    }


def _setting(context: Context, trial: int) -> Mapping[str, str | None]:
    limit = context.card.limits.get("ring_gear_bolt_torque")
    is_given = limit is not None and limit.low is not None and limit.high is not None
    middle = 0.5 * (limit.low + limit.high) if is_given else None  # type: ignore[union-attr, operator]
    return {
        "torque": exact("torque", middle),
        "wrench_length": _read(context, "backlash", "wrench_length"),
        "adapter_length": _read(context, "backlash", "adapter_length"),
        "adapter_angle": _read(context, "backlash", "adapter_angle", "angle") or None,
    }


def bolt_torque_nm(context: Context, trial: int) -> float | None:
    """Return the torque at the ring-gear bolts [N·m], through the adapter where there was one."""
    setting, adapter = context.value("backlash", "bolt_setting"), context.value("backlash", "adapter_length")
    if setting is None or not adapter:
        return setting
    gathered = {**_setting(context, trial), "setting": exact("torque", setting)}
    del gathered["torque"]
    if not gathered["wrench_length"]:
        return None
    typed = {key: text for key, text in gathered.items() if text is not None}
    try:
        return float(work_out(calculation("adapter-check"), typed).results["torque"])
    except UserError:
        return None


def _bolt(context: Context, trial: int) -> Mapping[str, str | None]:
    return {
        "thread": context.card.text("bolt_thread"),
        "property_class": context.card.text("bolt_class"),
        "torque": exact("torque", bolt_torque_nm(context, trial)),
        "friction": exact("ratio", context.card.number("bolt_friction")),
    }


BOLTING_DERIVED: tuple[Derived, ...] = (
    worked(
        "wrench_setting",
        mark("Setting for the middle of the limit"),
        "adapter-torque",
        "setting",
        _setting,
        help=mark("What to set the wrench to with this adapter."),
    ),
    worked("bolt_preload", mark("Preload of each ring-gear bolt"), "bolt-preload", "preload", _bolt),
    worked("spacer_wanted", mark("Spacer by the flange heights"), "spacer", "spacer", _spacer),
)

# -- contact pattern ---------------------------------------------------------------------------------------------------


def etched_entries(group: str) -> tuple[Entry, ...]:
    """Return the marks etched on the pinions, where the pinion is changed."""
    return tuple(
        _size(key, label, mark("Only for another pinion: copy the etched deviation with its sign."), group, lowest=-5.0)
        for key, label in (
            ("etched_old", mark("Mark etched on the old pinion")),
            ("etched_new", mark("Mark etched on the new pinion")),
        )
    )


def _etched(context: Context, trial: int) -> Mapping[str, str | None]:
    return {
        "etched_old": _read(context, "contact_pattern", "etched_old"),
        "etched_new": _read(context, "contact_pattern", "etched_new"),
        "rule": context.card.text("pinion_mark_rule"),
    }


ETCHED_DERIVED = worked(
    "pinion_shim_change",
    mark("Change of the pinion shim by the etched marks"),
    "pinion-depth",
    "shim_change",
    _etched,
    help=mark(
        "The sign rule is the card's, for the manuals disagree: old − new in TM 9-2320-280-34, new − old in "
        "TM 5-3895-369-14."
    ),
)

# -- fill --------------------------------------------------------------------------------------------------------------


def _groove(context: Context, trial: int) -> Mapping[str, str | None]:
    return {
        "outer_diameter": exact("length", context.card.number("flange_stub_diameter")),
        "groove_diameter": _read(context, "fill", "groove_diameter"),
        "root_radius": _read(context, "fill", "groove_radius"),
        "yield_strength": exact("stress", context.card.number("flange_yield")),
        "peak_torque": exact("torque", context.card.number("axle_peak_torque")),
    }


GROOVE_DERIVED = worked(
    "groove_safety",
    mark("Safety of the grooved flange at the axle's peak torque"),
    "groove-safety",
    "safety",
    _groove,
    limit="groove_safety",
)


def groove_remarks(context: Context) -> Sequence[Remark]:
    """Say what a square cut would do to this flange, once its sizes are there."""
    try:
        outcome = GROOVE_DERIVED.work(context, 0) if GROOVE_DERIVED.work else None
    except UserError as error:
        return [Remark(str(error), is_warning=True)]
    if outcome is None:
        return []
    return [
        Remark(
            tr(
                "Cut square, this groove would yield at {square} instead of {torque}.",
                square=show("torque", float(outcome.results["square_cut_torque"]), "n_m", 0),
                torque=show("torque", float(outcome.results["yield_torque"]), "n_m", 0),
            )
        )
    ]
