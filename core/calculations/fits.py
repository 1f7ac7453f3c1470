"""Calculations on fits: what the classes allow, what was measured, the heat that lets it go on, what holds it."""

from __future__ import annotations

from dataclasses import replace

from core.calculations.declare import Calculation, Choices, Input, Result, Results
from core.calculations.shared import AMBIENT, RESOLUTION, STATED_ERROR, checked_expansion, checked_young
from core.facts import Gauge, Limit
from core.language import mark
from core.mechanics.fits import fit, measured_clearance_mm, size_limits_mm
from core.mechanics.press import (
    OPEN_BEARING_LIMIT_C,
    SEALED_BEARING_LIMIT_C,
    bore_growth_mm,
    fit_slip_torque_nm,
    heating_temperature_c,
    hub_hoop_stress_mpa,
    press_pressure_mpa,
)
from core.verdict import ANSWER_WORDS, judge

SUBJECT = mark("Fits")
ISO_286 = mark("ISO 286-1:2010 and ISO 286-2:2010")
LAME = mark("Lamé's thick cylinders, as in any text on machine design")
HOT = mark("Hot parts burn: gloves, and never an open flame on a bearing. A temperature above the limit ruins it.")
PRESS_CAUTION = mark("Pressed parts can fly off: stand aside of the press, and never strike a hardened ring.")

ANSWERS: Choices = tuple((answer.value, word) for answer, word in ANSWER_WORDS.items())
# A class is read at a size every class exists for; which size it is asked at is the rule's own business.
_ANY_SIZE_MM = 50.0


def _hole_class(text: str) -> str:
    fit(_ANY_SIZE_MM, text, "h6")
    return text


def _shaft_class(text: str) -> str:
    fit(_ANY_SIZE_MM, "H7", text)
    return text


def _fit(diameter: float, hole: str, shaft: str) -> Results:
    clearance = fit(diameter, hole, shaft)
    (bore_low, bore_high), (seat_low, seat_high) = size_limits_mm(diameter, hole), size_limits_mm(diameter, shaft)
    return {
        "smallest_clearance": clearance.smallest_mm,
        "largest_clearance": clearance.largest_mm,
        "smallest_hole": bore_low,
        "largest_hole": bore_high,
        "smallest_shaft": seat_low,
        "largest_shaft": seat_high,
    }


def _measured_fit(
    diameter: float, hole: str, shaft: str, bore: float, seat: float, resolution: float, stated_error: float
) -> Results:
    gauge = Gauge(0, "", "micrometer", "length", resolution, stated_error)
    verdicts = {
        key: judge(size, Limit(key, *size_limits_mm(diameter, tolerance)), gauge, "length", "mm")
        for key, size, tolerance in (("bore", bore, hole), ("seat", seat, shaft))
    }
    return {
        "clearance": measured_clearance_mm(bore, seat),
        "bore_verdict": verdicts["bore"].answer.value,
        "bore_reason": verdicts["bore"].reason,
        "seat_verdict": verdicts["seat"].answer.value,
        "seat_reason": verdicts["seat"].reason,
    }


def _heat_to_fit(
    bore: float, interference: float, clearance: float, ambient: float, expansion: float, bearing: str
) -> Results:
    checked_expansion("expansion", expansion)
    highest_c = SEALED_BEARING_LIMIT_C if bearing == "sealed" else OPEN_BEARING_LIMIT_C
    return {"temperature": heating_temperature_c(bore, interference, clearance, ambient, expansion, highest_c)}


def _bore_growth(bore: float, temperature: float, ambient: float, expansion: float) -> Results:
    return {"growth": bore_growth_mm(bore, temperature, ambient, checked_expansion("expansion", expansion))}


def _press_fit(
    diameter: float,
    hub_diameter: float,
    bore_diameter: float,
    interference: float,
    young_hub: float,
    poisson_hub: float,
    young_shaft: float,
    poisson_shaft: float,
) -> Results:
    checked_young("young_hub", young_hub)
    checked_young("young_shaft", young_shaft)
    pressure_mpa = press_pressure_mpa(
        diameter, hub_diameter, interference, bore_diameter, young_hub, poisson_hub, young_shaft, poisson_shaft
    )
    return {"pressure": pressure_mpa, "hoop_stress": hub_hoop_stress_mpa(pressure_mpa, diameter, hub_diameter)}


def _fit_slip(diameter: float, length: float, friction: float, **joint: float) -> Results:
    pressure_mpa = float(_press_fit(diameter, **joint)["pressure"])
    return {"slip_torque": fit_slip_torque_nm(pressure_mpa, diameter, length, friction), "pressure": pressure_mpa}


DIAMETER = Input("diameter", mark("Nominal diameter"), "length")
HOLE = Input("hole", mark("Class of the hole, such as H7"), "text", read=_hole_class)
SHAFT = Input("shaft", mark("Class of the shaft, such as k6"), "text", read=_shaft_class)
BORE = Input("bore", mark("Bore of the bearing or ring"), "length")
EXPANSION = Input(
    "expansion", mark("Expansion of the ring (bearing steel: 12 ppm/K, textbook)"), "expansion", default="12 ppm/K"
)
JOINT_DIAMETER = Input("diameter", mark("Diameter of the joint"), "length")
JOINT_INPUTS = (
    Input("hub_diameter", mark("Outer diameter of the ring or hub"), "length"),
    Input("bore_diameter", mark("Bore of the shaft or carrier (0: solid)"), "length", default="0"),
    Input(
        "interference",
        mark("Interference on the diameter"),
        "length",
        measured=mark("Shaft diameter minus bore diameter, not half of it."),
    ),
    Input("young_hub", mark("Young's modulus of the hub (steel: 207 GPa, textbook)"), "stress", "gpa", "207 GPa"),
    Input("poisson_hub", mark("Poisson's ratio of the hub (steel: 0.3, textbook)"), "ratio", default="0.3"),
    Input("young_shaft", mark("Young's modulus of the shaft (steel: 207 GPa, textbook)"), "stress", "gpa", "207 GPa"),
    Input("poisson_shaft", mark("Poisson's ratio of the shaft (steel: 0.3, textbook)"), "ratio", default="0.3"),
)
PRESSURE = Result("pressure", mark("Pressure in the joint"), "stress")
LAME_VALID = mark("Elastic parts with open ends, the hub as long as the joint.")
LAME_FORMULA = mark("p = δ/(d [((D² + d²)/(D² − d²) + ν_h)/E_h + ((d² + d_i²)/(d² − d_i²) − ν_s)/E_s])")

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "fit",
        mark("Clearance of a fit"),
        SUBJECT,
        (DIAMETER, HOLE, SHAFT),
        (
            Result("smallest_clearance", mark("Smallest clearance; negative is interference"), "length"),
            Result("largest_clearance", mark("Largest clearance"), "length"),
            Result("smallest_hole", mark("Smallest hole"), "length", decimals=4),
            Result("largest_hole", mark("Largest hole"), "length", decimals=4),
            Result("smallest_shaft", mark("Smallest shaft"), "length", decimals=4),
            Result("largest_shaft", mark("Largest shaft"), "length", decimals=4),
        ),
        _fit,
        mark("smallest = EI − es, largest = ES − ei"),
        ISO_286,
        mark("Over 3 up to 250 mm; shafts h j js k m n p r s, holes H J JS K M N P R, grades 5 to 8."),
        figure="fit",
    ),
    Calculation(
        "measured-fit",
        mark("Verdict on a measured bore and seat"),
        SUBJECT,
        (
            DIAMETER,
            HOLE,
            SHAFT,
            Input("bore", mark("Bore as measured"), "length", measured=mark("Two places, crosswise; the mean.")),
            Input("seat", mark("Seat as measured"), "length", measured=mark("Two places, crosswise; the mean.")),
            RESOLUTION,
            STATED_ERROR,
        ),
        (
            Result("clearance", mark("Clearance; negative is interference"), "length"),
            Result("bore_verdict", mark("Bore"), "choice", choices=ANSWERS),
            Result("bore_reason", mark("Why"), "text"),
            Result("seat_verdict", mark("Seat"), "choice", choices=ANSWERS),
            Result("seat_reason", mark("Why"), "text"),
        ),
        _measured_fit,
        mark("clearance = bore − seat; verdict inside the limits pulled in by 1.65 u"),
        mark("ISO 286-1:2010; verdict ISO 14253-1:2017"),
        mark("Over 3 up to 250 mm. The maker's limits come before a class."),
        figure="fit",
    ),
    Calculation(
        "heat-to-fit",
        mark("Heat a ring goes on at"),
        SUBJECT,
        (
            BORE,
            Input(
                "interference",
                mark("Largest interference"),
                "length",
                measured=mark("Largest seat minus smallest bore; a bearing's bore tolerance is minus."),
            ),
            Input("clearance", mark("Clearance wanted while it goes on"), "length"),
            replace(AMBIENT, rule_names=("ambient_c", "temp_c")),
            EXPANSION,
            Input(
                "bearing",
                mark("Bearing (open unless said: 120 °C; greased or sealed: 80 °C)"),
                "choice",
                default="open",
                choices=(("open", mark("open")), ("sealed", mark("greased or sealed"))),
            ),
        ),
        (Result("temperature", mark("Heat it to"), "temperature"),),
        _heat_to_fit,
        mark("t = t0 + (interference + clearance)/(α d)"),
        mark("Expansion: textbook; limits: a bearing maker's mounting instruction"),
        mark("Up to 120 °C, greased or sealed bearings up to 80 °C; where more is needed cool the seat or press."),
        HOT,
        "heat_to_fit",
    ),
    Calculation(
        "bore-growth",
        mark("How much a bore grows when heated"),
        SUBJECT,
        (
            BORE,
            Input("temperature", mark("Temperature of the ring"), "temperature", rule_names=("temp_c",)),
            AMBIENT,
            EXPANSION,
        ),
        (Result("growth", mark("Growth of the bore"), "length", decimals=4),),
        _bore_growth,
        mark("Δd = α d (t − t0)"),
        mark("A bearing maker's chart: bore 100 mm at 100 °C → 0.0873 mm at 10.91 ppm/K"),
        caution=HOT,
        figure="heat_to_fit",
    ),
    Calculation(
        "press-fit",
        mark("Pressure of an interference fit"),
        SUBJECT,
        (JOINT_DIAMETER, *JOINT_INPUTS),
        (PRESSURE, Result("hoop_stress", mark("Hoop stress at the bore of the hub"), "stress")),
        _press_fit,
        LAME_FORMULA,
        LAME,
        LAME_VALID,
        PRESS_CAUTION,
        "press_fit",
    ),
    Calculation(
        "fit-slip",
        mark("Slip torque of an interference fit"),
        SUBJECT,
        (
            JOINT_DIAMETER,
            *JOINT_INPUTS,
            Input("length", mark("Length of the joint"), "length"),
            Input("friction", mark("Friction in the joint"), "ratio"),
        ),
        (Result("slip_torque", mark("Slip torque"), "torque", decimals=0), PRESSURE),
        _fit_slip,
        mark("T = μ p π d² l/2, with the pressure p of the fit"),
        LAME,
        LAME_VALID,
        PRESS_CAUTION,
        "press_fit",
    ),
)
