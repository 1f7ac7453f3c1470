"""Calculations on measuring: how sure a reading is, what it can prove, how good the gauge is."""

from __future__ import annotations

from core.calculations.declare import Calculation, Input, Result, Results
from core.calculations.shared import READINGS, RESOLUTION, STANDARD_DEVIATION, STATED_ERROR
from core.errors import RangeError
from core.language import mark, tr
from core.mechanics.checks import within
from core.mechanics.conformity import conformity_zone, nonconformity_bounds, readings_needed
from core.mechanics.gauge_study import gauge_study
from core.mechanics.uncertainty import combined_u, expanded_u, guard, reading_u, rectangular_u, resolution_u

SUBJECT = mark("Measuring")
MOST_OF_EACH = 100


def _uncertainty(resolution: float, stated_error: float, standard_deviation: float, readings: int) -> Results:
    standard = reading_u(resolution, stated_error, standard_deviation, readings)
    return {"standard": standard, "expanded": expanded_u(standard), "guard": guard(standard)}


def _guarded_limits(
    lowest: float,
    highest: float,
    resolution: float,
    stated_error: float,
    standard_deviation: float,
    readings: int,
) -> Results:
    pulled_in = guard(reading_u(resolution, stated_error, standard_deviation, readings))
    conforms_from, conforms_to = conformity_zone(lowest, highest, pulled_in)
    fails_below, fails_above = nonconformity_bounds(lowest, highest, pulled_in)
    ends = (conforms_from, conforms_to, fails_below, fails_above)
    keys = ("conforms_from", "conforms_to", "fails_below", "fails_above")
    return {key: end for key, end in zip(keys, ends, strict=True) if end is not None} | {"guard": pulled_in}


def _readings_needed(margin: float, resolution: float, stated_error: float, standard_deviation: float) -> Results:
    gauge_u = combined_u(resolution_u(resolution), rectangular_u(stated_error))
    return {"readings": readings_needed(margin, gauge_u, standard_deviation)}


def _gauge_study(readings: tuple[float, ...], parts: int, people: int) -> Results:
    within("parts", parts, 2, MOST_OF_EACH)
    within("people", people, 2, MOST_OF_EACH)
    repeats, left = divmod(len(readings), parts * people)
    if left or repeats < 2:
        raise RangeError("readings", len(readings), tr("{count}, or a higher multiple of it", count=2 * parts * people))
    table = [
        [readings[(part * people + person) * repeats :][:repeats] for person in range(people)] for part in range(parts)
    ]
    study = gauge_study(table)
    return {
        "repeatability": study.repeatability,
        "reproducibility": study.reproducibility,
        "interaction": study.interaction,
        "gauge_and_people": study.gauge_and_people,
        "parts_spread": study.parts,
        "share": study.share_ratio,
    }


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "measurement-uncertainty",
        mark("How sure a reading is"),
        SUBJECT,
        (RESOLUTION, STATED_ERROR, STANDARD_DEVIATION, READINGS),
        (
            Result("standard", mark("Standard uncertainty"), "length", decimals=5),
            Result("expanded", mark("Expanded uncertainty, k = 2"), "length", decimals=4),
            Result("guard", mark("Guard, 1.65 u"), "length", decimals=4),
        ),
        _uncertainty,
        mark("u = √(r²/12 + a²/3 + s²/n); U = 2 u; g = 1.65 u"),
        mark("JCGM 100:2008 (GUM), 4.2, 4.3.7, 5.1.2, 6.2, F.2.2.1; guard ISO 14253-1:2017"),
    ),
    Calculation(
        "guarded-limits",
        mark("What a gauge can prove against limits"),
        SUBJECT,
        (
            Input("lowest", mark("Lower limit"), "length"),
            Input("highest", mark("Upper limit"), "length", rule_names=("high",)),
            RESOLUTION,
            STATED_ERROR,
            STANDARD_DEVIATION,
            READINGS,
        ),
        (
            Result("conforms_from", mark("Conforms from"), "length", decimals=4),
            Result("conforms_to", mark("Conforms up to"), "length", decimals=4),
            Result("fails_below", mark("Does not conform below"), "length", decimals=4),
            Result("fails_above", mark("Does not conform above"), "length", decimals=4),
            Result("guard", mark("Guard, 1.65 u"), "length", decimals=4),
        ),
        _guarded_limits,
        mark("limits pulled in, and pushed out, by g = 1.65 u; between the two the answer is uncertain"),
        mark("ISO 14253-1:2017, guard factor from memory; uncertainty by the GUM"),
        mark("Where twice the guard reaches the tolerance nothing can conform, and it says so."),
    ),
    Calculation(
        "readings-needed",
        mark("Readings a verdict needs"),
        SUBJECT,
        (
            Input("margin", mark("Distance of the mean from the nearest limit"), "length"),
            RESOLUTION,
            STATED_ERROR,
            STANDARD_DEVIATION,
        ),
        (Result("readings", mark("Readings"), "count"),),
        _readings_needed,
        mark("the least n with 1.65 √(u_gauge² + s²/n) ≤ margin"),
        mark("Follows from ISO 14253-1:2017 and GUM 4.2.3"),
        mark("Up to 100 readings, and a standard deviation known from earlier work."),
    ),
    Calculation(
        "gauge-study",
        mark("How good gauge and people are together"),
        SUBJECT,
        (
            Input(
                "readings",
                mark("All readings"),
                "length",
                is_list=True,
                measured=mark("Part by part, within a part person by person, within a person the repeats."),
                rule_names=("number of repeats", "number of parts", "number of people", "spread of the readings"),
            ),
            Input("parts", mark("Parts measured"), "count"),
            Input("people", mark("People who measured"), "count"),
        ),
        (
            Result("repeatability", mark("Standard deviation of the gauge"), "length", decimals=5),
            Result("reproducibility", mark("Standard deviation between people"), "length", decimals=5),
            Result("interaction", mark("Standard deviation of people who differ on some parts"), "length", decimals=5),
            Result("gauge_and_people", mark("Gauge and people together"), "length", decimals=5),
            Result("parts_spread", mark("Standard deviation of the parts"), "length", decimals=5),
            Result("share", mark("Gauge and people in the whole; below 10 % is good"), "ratio", "percent"),
        ),
        _gauge_study,
        mark("Variances from the mean squares of parts, people, interaction and repeats"),
        mark("AIAG, Measurement Systems Analysis, analysis of variance (from memory)"),
        mark("Two or more parts, people and repeats."),
    ),
)
