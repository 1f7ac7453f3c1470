"""Every formula run with quantities: its dimensions, and the same answer whatever unit is typed.

A formula that is homogeneous does not care how long a metre, how heavy a kilogram or how long a second is: with every
base unit stretched, its result stretches as the dimension of its result does. pint says how; the numbers go through the
function itself. A function that is missing from both tables fails the test.
"""

import importlib
import inspect
import math
import pkgutil
from dataclasses import dataclass, replace

import pint
import pytest

import core.mechanics
from core.mechanics import (
    axle,
    bevel,
    bolts,
    clutch,
    conformity,
    fits,
    groove,
    hypoid,
    lash,
    oil,
    pinion,
    preload,
    press,
    rings,
    torque,
    uncertainty,
    viscosity,
    wheel,
)
from core.mechanics.budget import Influence, budget
from core.mechanics.threads import Thread, proof_load_n, property_class, thread
from core.quantities import from_unit, parse, to_unit
from core.units import KINDS

UREG = pint.UnitRegistry(cache_folder=None)
STRETCH = {"[length]": 1.07, "[mass]": 0.93, "[time]": 1.11, "[temperature]": 1.05}
KIND_OF = {
    "mm": "length",
    "N*m": "torque",
    "N": "force",
    "deg": "angle",
    "liter": "volume",
    "mm**2/s": "viscosity",
}


def stretch(unit):
    """Return by how much a number grows when the base units shrink by `STRETCH`."""
    if not unit:
        return 1.0
    return math.prod(STRETCH[base] ** power for base, power in UREG.get_dimensionality(UREG.Unit(unit)).items())


@dataclass(frozen=True)
class Run:
    """A function, what goes in (value, unit) and the unit of what comes out; `pick` makes numbers of the result."""

    function: object
    inputs: tuple
    unit: object
    pick: object = None
    call: object = None

    @property
    def name(self):
        return self.function.__name__

    def result(self, values):
        found = (self.call or self.function)(*values)
        found = self.pick(found) if self.pick else found
        return list(found) if isinstance(found, list | tuple) else [found]

    @property
    def units(self):
        return self.unit if isinstance(self.unit, list) else [self.unit]


def attributes(*names):
    return lambda found: [getattr(found, name) for name in names]


def scaled_thread(diameter, pitch, face, hole):
    return Thread(diameter, pitch, face, hole)


BOLT = ((12.0, "mm"), (1.25, "mm"), (16.6, "mm"), (13.5, "mm"))
STRONG = property_class("10.9")


def grade(yield_mpa):
    return replace(STRONG, proof_mpa=0.88 * yield_mpa, yield_mpa=yield_mpa, tensile_mpa=1.1 * yield_mpa)


PAIR = ((200.0, "mm"), (30.0, "mm"))


def pair(outer, face):
    return bevel.bevel_geometry(11, 43, outer, face, 35.0)


RUNS = (
    Run(bevel.gear_ratio, ((11, ""), (43, "")), ""),
    Run(bevel.pitch_angles, ((3.9, ""), (90.0, "deg")), ["deg", "deg"], attributes("pinion_deg", "gear_deg")),
    Run(
        bevel.bevel_geometry,
        PAIR,
        ["mm"] * 9 + [""],
        attributes(
            "outer_cone_distance_mm",
            "mean_cone_distance_mm",
            "inner_cone_distance_mm",
            "gear_mean_diameter_mm",
            "pinion_mean_diameter_mm",
            "pinion_outer_diameter_mm",
            "outer_transverse_module_mm",
            "mean_transverse_module_mm",
            "mean_normal_module_mm",
            "ratio",
        ),
        pair,
    ),
    Run(bevel.spiral_angle_at_deg, ((100.0, "mm"), (88.0, "mm"), (82.0, "mm"), (35.0, "deg")), "deg"),
    Run(bevel.gear_addendum_share, ((3.9, ""),), ""),
    Run(
        bevel.tooth_depths,
        PAIR,
        ["mm", "mm", "deg", "deg"],
        lambda depths: [
            depths[0].addendum_mm,
            depths[1].dedendum_mm,
            depths[0].face_angle_deg,
            depths[1].root_angle_deg,
        ],
        lambda outer, face: bevel.tooth_depths(pair(outer, face)),
    ),
    Run(hypoid.hypoid_enlargement, ((50.0, "deg"), (35.0, "deg")), ""),
    Run(hypoid.hypoid_pinion_mean_diameter_mm, ((180.0, "mm"), (4.0, ""), (50.0, "deg"), (35.0, "deg")), "mm"),
    Run(hypoid.hypoid_offset_angle_deg, ((50.0, "deg"), (35.0, "deg")), "deg"),
    Run(lash.normal_change_mm, ((0.1, "mm"), (75.0, "deg"), (20.0, "deg")), "mm"),
    Run(lash.circumferential_change_mm, ((0.1, "mm"), (75.0, "deg"), (20.0, "deg"), (35.0, "deg")), "mm"),
    Run(lash.normal_from_tangential_mm, ((0.1, "mm"), (20.0, "deg"), (35.0, "deg")), "mm"),
    Run(lash.tangential_from_normal_mm, ((0.1, "mm"), (20.0, "deg"), (35.0, "deg")), "mm"),
    Run(
        lash.lash_rates,
        (*PAIR, (20.0, "deg"), (82.0, "mm")),
        ["", "", "", ""],
        attributes(
            "normal_mean_ratio", "circumferential_mean_ratio", "circumferential_heel_ratio", "normal_heel_ratio"
        ),
        lambda outer, face, pressure, cutter: lash.lash_rates(pair(outer, face), pressure, cutter),
    ),
    Run(lash.move_for_change_mm, ((0.05, "mm"), (0.7, "")), "mm"),
    Run(lash.tangential_backlash_mm, ((0.1, "mm"), (98.0, "mm"), (88.0, "mm"), (20.0, "deg")), "mm"),
    Run(lash.backlash_from_angle_mm, ((0.5, "deg"), (98.0, "mm"), (3.9, "")), "mm"),
    Run(
        wheel.backlash_wheel,
        ((0.12, "mm"), (0.14, "mm"), (0.13, "mm"), (0.10, "mm")),
        ["mm", "mm", "mm", "mm", "deg", "mm", "mm"],
        attributes("mean_mm", "smallest_mm", "range_mm", "amplitude_mm", "high_spot_deg", "scatter_mm", "tightest_mm"),
        lambda *readings: wheel.backlash_wheel(readings),
    ),
    Run(rings.pair_from_sum, ((5.05, "mm"), (0.15, "mm")), ["mm", "mm"], attributes("sum_mm", "ring_gear_side_mm")),
    Run(
        rings.swap,
        ((2.52, "mm"), (2.53, "mm"), (0.08, "mm"), (0.01, "mm")),
        ["mm", "mm"],
        attributes("ring_gear_side_mm", "opposite_side_mm"),
        lambda ring, opposite, move, add: rings.swap(rings.RingPair(ring, opposite), move, add),
    ),
    Run(
        rings.move_between_mm,
        ((2.52, "mm"), (2.53, "mm"), (2.60, "mm"), (2.45, "mm")),
        "mm",
        None,
        lambda a, b, c, d: rings.move_between_mm(rings.RingPair(a, b), rings.RingPair(c, d)),
    ),
    Run(rings.partner_mm, ((5.05, "mm"), (2.6, "mm")), "mm"),
    Run(rings.nut_travel_mm, ((3, ""), (1.5, "mm"), (18, "")), "mm"),
    Run(rings.nut_notches, ((0.25, "mm"), (1.5, "mm"), (18, "")), ""),
    Run(
        rings.stack_tolerance_mm,
        ((0.03, "mm"), (0.04, "mm")),
        ["mm", "mm"],
        None,
        lambda *parts: rings.stack_tolerance_mm(parts),
    ),
    Run(rings.spacer_mm, ((41.35, "mm"), (38.15, "mm"), (0.5, "mm")), "mm"),
    Run(torque.adapter_factor, ((400.0, "mm"), (50.0, "mm"), (30.0, "deg")), ""),
    Run(torque.adapter_setting_nm, ((150.0, "N*m"), (400.0, "mm"), (50.0, "mm"), (30.0, "deg")), "N*m"),
    Run(torque.adapter_torque_nm, ((133.0, "N*m"), (400.0, "mm"), (50.0, "mm"), (30.0, "deg")), "N*m"),
    Run(torque.tightening_steps_nm, ((150.0, "N*m"),), ["N*m"] * 3),
    Run(
        proof_load_n,
        (*BOLT, (940.0, "MPa")),
        "N",
        None,
        lambda d, p, w, h, strength: proof_load_n(Thread(d, p, w, h), grade(strength)),
    ),
    Run(
        thread,
        BOLT,
        ["mm"] * 4 + ["mm**2"],
        attributes(
            "pitch_diameter_mm", "root_diameter_mm", "minor_diameter_mm", "friction_diameter_mm", "stress_area_mm2"
        ),
        Thread,
    ),
    Run(
        bolts.assembly_preload_n,
        (*BOLT, (940.0, "MPa"), (0.12, "")),
        "N",
        None,
        lambda d, p, w, h, strength, mu: bolts.assembly_preload_n(Thread(d, p, w, h), grade(strength), mu),
    ),
    Run(
        bolts.tightening_torque_nm,
        (*BOLT, (70000.0, "N"), (0.12, ""), (0.10, "")),
        "N*m",
        None,
        lambda d, p, w, h, load, a, b: bolts.tightening_torque_nm(Thread(d, p, w, h), load, a, b),
    ),
    Run(
        bolts.preload_from_torque_n,
        (*BOLT, (150.0, "N*m"), (0.12, ""), (0.10, "")),
        "N",
        None,
        lambda d, p, w, h, moment, a, b: bolts.preload_from_torque_n(Thread(d, p, w, h), moment, a, b),
    ),
    Run(bolts.scatter_factor, ((0.25, ""),), ""),
    Run(bolts.least_preload_n, ((70000.0, "N"), (1.6, "")), "N"),
    Run(
        bolts.engagement_length_mm,
        (*BOLT, (940.0, "MPa"), (400.0, "MPa")),
        "mm",
        None,
        lambda d, p, w, h, strength, shear: bolts.engagement_length_mm(Thread(d, p, w, h), grade(strength), shear),
    ),
    Run(bolts.slip_torque_nm, ((12, ""), (40000.0, "N"), (0.15, ""), (140.0, "mm")), "N*m"),
    Run(axle.engine_peak_torque_nm, ((200.0, "N*m"), (3.5, ""), (4.0, ""), (0.75, "")), "N*m"),
    Run(axle.wheel_slip_torque_nm, ((4000.0, "N"), (1.0, ""), (0.3, "m")), "N*m"),
    Run(axle.safety, ((3000.0, "N*m"), (2000.0, "N*m")), ""),
    Run(
        groove.groove_concentration,
        ((30.0, "mm"), (28.0, "mm"), (1.0, "mm")),
        ["", "", ""],
        attributes("pilkey", "roark", "neuber"),
    ),
    Run(groove.shear_stress_mpa, ((1000.0, "N*m"), (28.0, "mm")), "MPa"),
    Run(groove.yield_torque_nm, ((28.0, "mm"), (900.0, "MPa"), (1.8, "")), "N*m"),
    Run(
        groove.smallest_root_radius_mm,
        ((30.0, "mm"), (28.0, "mm"), (900.0, "MPa"), (1200.0, "N*m"), (1.0, "")),
        "mm",
    ),
    Run(fits.measured_clearance_mm, ((45.0, "mm"), (45.01, "mm")), "mm"),
    Run(
        press.bore_growth_mm, ((45.0, "mm"), (90.0, "delta_degC"), (20.0, "delta_degC"), (12e-6, "1/delta_degC")), "mm"
    ),
    Run(
        press.heating_temperature_c,
        (
            (45.0, "mm"),
            (0.02, "mm"),
            (0.01, "mm"),
            (20.0, "delta_degC"),
            (12e-6, "1/delta_degC"),
            (120.0, "delta_degC"),
        ),
        "delta_degC",
    ),
    Run(
        press.press_pressure_mpa,
        (
            (50.0, "mm"),
            (100.0, "mm"),
            (0.05, "mm"),
            (20.0, "mm"),
            (2e5, "MPa"),
            (0.3, ""),
            (1.7e5, "MPa"),
            (0.27, ""),
        ),
        "MPa",
    ),
    Run(press.hub_hoop_stress_mpa, ((77.0, "MPa"), (50.0, "mm"), (100.0, "mm")), "MPa"),
    Run(press.fit_slip_torque_nm, ((77.0, "MPa"), (50.0, "mm"), (40.0, "mm"), (0.12, "")), "N*m"),
    Run(
        oil.fill_volume_l,
        ((35.0, "mm"), (30.0, "mm"), (0.6, "liter"), (50.0, "mm"), (1.2, "liter")),
        "liter",
        None,
        lambda level, h1, v1, h2, v2: oil.fill_volume_l(level, [(h1, v1), (h2, v2)]),
    ),
    Run(
        oil.level_mm,
        ((0.75, "liter"), (30.0, "mm"), (0.6, "liter"), (50.0, "mm"), (1.2, "liter")),
        "mm",
        None,
        lambda volume, h1, v1, h2, v2: oil.level_mm(volume, [(h1, v1), (h2, v2)]),
    ),
    Run(oil.friction_modifier_l, ((1.1, "liter"), (0.05, "")), "liter"),
    Run(
        oil.containers,
        ((2.4, "liter"), (0.5, "liter"), (1.0, "liter")),
        ["liter", ""],
        lambda bought: [sum(size * count for size, count in bought.items()), sum(bought.values())],
        lambda volume, small, large: oil.containers(volume, [small, large]),
    ),
    Run(clutch.pack_height_mm, ((2.05, "mm"), (2.02, "mm")), "mm", None, lambda *plates: clutch.pack_height_mm(plates)),
    Run(
        clutch.pack_clearance_mm,
        ((4.2, "mm"), (2.05, "mm"), (2.02, "mm")),
        "mm",
        None,
        lambda space, *plates: clutch.pack_clearance_mm(space, plates),
    ),
    Run(clutch.wear_left_ratio, ((2.02, "mm"), (2.05, "mm"), (1.95, "mm")), ""),
    Run(clutch.mean_radius_mm, ((45.0, "mm"), (75.0, "mm")), "mm"),
    Run(clutch.pack_torque_nm, ((8, ""), (0.1, ""), (5000.0, "N"), (45.0, "mm"), (75.0, "mm")), "N*m"),
    Run(clutch.ramp_force_n, ((500.0, "N*m"), (40.0, "mm"), (45.0, "deg"), (800.0, "N")), "N"),
    Run(clutch.locking_value, ((700.0, "N*m"), (300.0, "N*m")), ""),
    Run(clutch.bias_ratio, ((0.4, ""),), ""),
    Run(clutch.locking_from_bias, ((2.3, ""),), ""),
    Run(clutch.ramp_locking_value, ((4, ""), (0.1, ""), (50.0, "mm"), (40.0, "mm"), (45.0, "deg")), ""),
    Run(clutch.breakaway_share_ratio, ((60.0, "N*m"), (80.0, "N*m")), ""),
    Run(preload.turning_torque_nm, ((3000.0, "N"), (0.1, "mm"), (0.05, "N*m")), "N*m"),
    Run(preload.friction_arm_mm, ((0.65, "N*m"), (3000.0, "N"), (0.05, "N*m")), "mm"),
    Run(preload.pull_torque_nm, ((22.0, "N"), (152.0, "mm")), "N*m"),
    Run(preload.whole_unit_torque_nm, ((1.0, "N*m"), (0.8, "N*m"), (4.0, ""), (0.1, "N*m")), "N*m"),
    Run(preload.carrier_torque_nm, ((1.3, "N*m"), (1.0, "N*m"), (4.0, ""), (0.1, "N*m")), "N*m"),
    Run(
        preload.warm_interference_mm,
        (
            (0.06, "mm"),
            (180.0, "mm"),
            (80.0, "delta_degC"),
            (20.0, "delta_degC"),
            (23e-6, "1/delta_degC"),
            (12e-6, "1/delta_degC"),
        ),
        "mm",
    ),
    Run(
        pinion.wanted_depth_mm,
        ((98.5, "mm"), (0.05, "mm")),
        "mm",
        None,
        lambda a, b: pinion.wanted_depth_mm(a, b, "added"),
    ),
    Run(
        pinion.shim_change,
        ((0.05, "mm"), (-0.02, "mm")),
        "mm",
        None,
        lambda a, b: pinion.shim_change(a, b, "old-minus-new"),
    ),
    Run(
        pinion.depth_shim_mm,
        ((120.4, "mm"), (20.3, "mm"), (98.45, "mm")),
        "mm",
        None,
        lambda a, b, c: pinion.depth_shim_mm(a, b, c, "pushes_in"),
    ),
    Run(
        pinion.shim_for_move_mm,
        ((1.65, "mm"), (0.05, "mm")),
        "mm",
        None,
        lambda a, b: pinion.shim_for_move_mm(a, b, "pushes_out"),
    ),
    Run(pinion.spacer_for_torque_mm, ((12.5, "mm"), (1.0, "N*m"), (1.6, "N*m"), (20.0, "N*m/mm")), "mm"),
    Run(uncertainty.resolution_u, ((0.01, "mm"),), "mm"),
    Run(uncertainty.rectangular_u, ((0.015, "mm"),), "mm"),
    Run(uncertainty.mean_u, ((0.004, "mm"), (3, "")), "mm"),
    Run(uncertainty.combined_u, ((0.003, "mm"), (0.004, "mm")), "mm"),
    Run(uncertainty.reading_u, ((0.01, "mm"), (0.015, "mm"), (0.004, "mm"), (3, "")), "mm"),
    Run(uncertainty.expanded_u, ((0.0094, "mm"),), "mm"),
    Run(uncertainty.guard, ((0.0094, "mm"),), "mm"),
    Run(
        uncertainty.effective_degrees,
        ((0.0094, "mm"), (0.009, "mm"), (0.002, "mm")),
        "",
        None,
        lambda u, a, b: uncertainty.effective_degrees(u, [(a, 8), (b, 2)]),
    ),
    Run(
        budget,
        ((0.003, "mm"), (0.004, "N"), (2.0, "mm/N")),
        ["mm", "mm", ""],
        attributes("standard_u", "expanded", "degrees"),
        lambda u, other, slope: budget([Influence("a", u, 1.0, 8), Influence("b", other, slope, 3)]),
    ),
    Run(conformity.conformity_zone, ((0.06, "mm"), (0.10, "mm"), (0.0155, "mm")), ["mm", "mm"]),
    Run(conformity.nonconformity_bounds, ((0.06, "mm"), (0.10, "mm"), (0.0155, "mm")), ["mm", "mm"]),
    Run(conformity.readings_needed, ((0.016, "mm"), (0.0091287, "mm"), (0.006, "mm")), ""),
)

EXEMPT = {
    "control_chart": "keeps the unit of its values, whichever it is; its own laws stretch them",
    "is_parallel": "answers yes or no against a length in mm",
    "above": "the gate itself",
    "at_least": "the gate itself",
    "within": "the gate itself",
    "between": "the gate itself",
    "finite": "the gate itself",
    "is_hunting": "counts",
    "crosswise_order": "counts",
    "friction_faces": "counts",
    "swap_for_backlash": "sides",
    "read_pattern": "ratios in, words out",
    "sleeve_step": "words out",
    **dict.fromkeys(("listed", "sources_words", "disagreement_words"), "words out"),
    "has_yielded": "yes or no",
    "may_reuse": "yes or no",
    "can_conform": "yes or no",
    "thread_names": "names",
    "property_class": "names",
    "oil_grade": "a table in mm²/s",
    "grade_limits": "a table in mm²/s",
    "deviations": "a table of sizes in mm",
    "size_limits_mm": "a table of sizes in mm",
    "fit": "a table of sizes in mm",
    "recommended_backlash_inch": "a table in inches",
    "recommended_backlash_mm": "a table in inches",
    "coverage_factor": "a table of pure numbers",
    "viscosity_at_mm2_s": "empirical: the constant 0.7 is in mm²/s",
    "viscosity_index": "empirical: fitted in mm²/s",
    "approach_mm": "empirical: fitted in N and mm",
    "interference_mm": "rests on approach_mm",
    "preload_n": "rests on approach_mm",
    **dict.fromkeys(
        ("signed_area", "measure", "extents", "is_on_tooth", "is_crossed", "are_crossed", "is_inside", "turn_of"),
        "shares of the tooth",
    ),
    "is_parted": "shares of the tooth in, yes or no out",
    **dict.fromkeys(("moved", "resized", "tilted", "fitted", "rounded", "tidied"), "shares of the tooth"),
    "gauge_study": "variances; scaled in its own test",
}


def public_functions():
    for module in pkgutil.iter_modules(core.mechanics.__path__):
        for name, found in inspect.getmembers(
            importlib.import_module(f"core.mechanics.{module.name}"), inspect.isfunction
        ):
            if not name.startswith("_") and found.__module__ == f"core.mechanics.{module.name}":
                yield name


def test_no_function_is_left_out():
    covered = [run.name for run in RUNS]
    assert sorted(set(covered)) == sorted(covered)
    assert set(covered) | set(EXEMPT) == set(public_functions())
    assert not set(covered) & set(EXEMPT)


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run.name)
def test_dimensions(run):
    plain = run.result([value for value, _ in run.inputs])
    stretched = run.result([value * stretch(unit) if unit else value for value, unit in run.inputs])
    assert len(plain) == len(run.units)
    for before, after, unit in zip(plain, stretched, run.units, strict=True):
        assert after == pytest.approx(before * stretch(unit), rel=1e-6), unit


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run.name)
def test_the_same_answer_in_every_unit_of_entry(run):
    """Each quantity typed in each unit of its kind, through the program's own reading of text."""
    plain = run.result([value for value, _ in run.inputs])
    for place, (value, unit) in enumerate(run.inputs):
        kind = KIND_OF.get(unit)
        for typed in KINDS[kind].units if kind else ():
            text = f"{to_unit(kind, value, typed.id):.12f}"
            values = [number for number, _ in run.inputs]
            values[place] = parse(kind, text, typed.id).value
            assert run.result(values) == pytest.approx(plain, rel=1e-6, abs=1e-9), typed.id


def test_conversion_there_and_back():
    for kind in set(KIND_OF.values()):
        for unit in KINDS[kind].units:
            assert from_unit(kind, to_unit(kind, 12.5, unit.id), unit.id) == pytest.approx(12.5)


def test_gauge_study_scales_with_its_readings():
    from core.mechanics.gauge_study import gauge_study

    readings = [[[1.0, 1.1], [1.2, 1.3]], [[2.0, 2.1], [2.2, 2.3]]]
    inches = [[[value / 25.4 for value in repeats] for repeats in part] for part in readings]
    assert gauge_study(inches).gauge_and_people * 25.4 == pytest.approx(gauge_study(readings).gauge_and_people)


def test_viscosity_needs_no_unit_of_its_own():
    assert viscosity.viscosity_index(73.30, 8.86) == pytest.approx(
        viscosity.viscosity_index(from_unit("viscosity", 73.30, "cst"), from_unit("viscosity", 8.86, "cst"))
    )
