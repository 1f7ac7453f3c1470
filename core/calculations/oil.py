"""Calculations on oil: grade, viscosity, what goes in and what to buy."""

from __future__ import annotations

import math

from core.calculations.declare import Calculation, Input, Result, Results
from core.errors import RangeError
from core.language import mark, tr
from core.mechanics.checks import above, within
from core.mechanics.oil import (
    GradeLimits,
    containers,
    fill_volume_l,
    friction_modifier_l,
    grade_limits,
    level_mm,
    oil_grade,
)
from core.mechanics.viscosity import viscosity_at_mm2_s, viscosity_index
from core.quantities import show

SUBJECT = mark("Oil")
SAE = mark("SAE J306:2019")
MOST_SIZES = 4
LEAST_SIZE_SHARE = 0.02

VISCOSITY_40 = Input("viscosity_40", mark("Viscosity at 40 °C"), "viscosity", measured=mark("From the data sheet."))
VISCOSITY_100 = Input("viscosity_100", mark("Viscosity at 100 °C"), "viscosity", measured=mark("From the data sheet."))
HEIGHTS = Input(
    "heights",
    mark("Heights of the calibration"),
    "length",
    measured=mark("Level in this casing after each measured amount poured in, rising; two or more."),
    is_list=True,
    rule_names=(
        "number of calibration points",
        "height of the first calibration point",
        "height of the next calibration point",
    ),
)
VOLUMES = Input(
    "volumes",
    mark("Volumes of the calibration"),
    "volume",
    measured=mark("What was in at each of these heights."),
    is_list=True,
    rule_names=("volume of the first calibration point", "volume of the next calibration point"),
)


def _points(heights: tuple[float, ...], volumes: tuple[float, ...]) -> list[tuple[float, float]]:
    if len(heights) != len(volumes):
        raise RangeError("volumes", len(volumes), tr("{count}, one for each height", count=len(heights)))
    return list(zip(heights, volumes, strict=True))


def _oil_grade(viscosity_100: float) -> Results:
    return {"grade": oil_grade(viscosity_100)}


def _grade_limits(grade: GradeLimits) -> Results:
    least, below = show("viscosity", grade.least_mm2_s), show("viscosity", grade.below_mm2_s)
    is_open = math.isinf(grade.below_mm2_s)
    cold = "" if grade.cold_c is None else show("temperature", grade.cold_c, decimals=0)
    return {
        "least_viscosity": grade.least_mm2_s,
        "viscosity_100": tr("{least} or more", least=least)
        if is_open
        else tr("{least} up to below {below}", least=least, below=below),
        "cold": tr("150 000 mPa·s at {temperature}", temperature=cold) if cold else tr("no cold limit"),
    }


def _viscosity_index(viscosity_40: float, viscosity_100: float) -> Results:
    return {"index": viscosity_index(viscosity_40, viscosity_100)}


def _viscosity_at(viscosity_40: float, viscosity_100: float, temperature: float) -> Results:
    return {"viscosity": viscosity_at_mm2_s(viscosity_40, viscosity_100, temperature)}


def _oil_fill(level: float, heights: tuple[float, ...], volumes: tuple[float, ...]) -> Results:
    return {"volume": fill_volume_l(level, _points(heights, volumes))}


def _oil_level(volume: float, heights: tuple[float, ...], volumes: tuple[float, ...]) -> Results:
    return {"level": level_mm(volume, _points(heights, volumes))}


def _oil_containers(volume: float, sizes: tuple[float, ...]) -> Results:
    above("volume", within("volume", volume, 0.0, 50.0, "L"), 0.0, "L")
    within("number of sizes", len(sizes), 1, MOST_SIZES)
    # Smaller ones would be bought by the dozen, and the search for the fewest would take for ever.
    within("size_l", min(sizes), max(0.05, LEAST_SIZE_SHARE * volume), math.inf, "L")
    bought = containers(volume, sizes)
    total_l = math.fsum(size * count for size, count in bought.items())
    words = (tr("{count} × {size}", count=count, size=show("volume", size)) for size, count in bought.items())
    return {"containers": ", ".join(words), "bought": total_l, "left_over": total_l - volume}


def _friction_modifier(fill: float, share: float) -> Results:
    modifier_l = friction_modifier_l(fill, share)
    return {"modifier": modifier_l, "oil": fill - modifier_l}


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "oil-grade",
        mark("SAE grade of a gear oil"),
        SUBJECT,
        (VISCOSITY_100,),
        (Result("grade", mark("SAE grade"), "text"),),
        _oil_grade,
        mark("Table by viscosity at 100 °C, the upper end excluded"),
        SAE,
        mark("3.8 mm²/s or more, without the W grade. Limited-slip friction is no part of a grade, nor of API GL-5."),
    ),
    Calculation(
        "grade-limits",
        mark("What an SAE grade asks of an oil"),
        SUBJECT,
        (Input("grade", mark("SAE grade, such as 90, 75W or 75W-140"), "text", read=grade_limits),),
        (
            Result("least_viscosity", mark("Least viscosity at 100 °C"), "viscosity"),
            Result("viscosity_100", mark("Viscosity at 100 °C"), "text"),
            Result("cold", mark("Cold"), "text"),
        ),
        _grade_limits,
        mark("Table; a double grade meets both rows"),
        SAE,
    ),
    Calculation(
        "viscosity-index",
        mark("Viscosity index"),
        SUBJECT,
        (VISCOSITY_40, VISCOSITY_100),
        (Result("index", mark("Viscosity index"), "ratio", decimals=0),),
        _viscosity_index,
        mark("VI = 100 (L − U)/(L − H); above 100: 100 + (10^N − 1)/0.00715, N = (log H − log U)/log Y"),
        mark("ASTM D2270; L and H by the standard's fitted equations (from memory)"),
        mark("2 mm²/s or more at 100 °C."),
    ),
    Calculation(
        "viscosity-at",
        mark("Viscosity at a temperature"),
        SUBJECT,
        (VISCOSITY_40, VISCOSITY_100, Input("temperature", mark("Temperature"), "temperature", rule_names=("temp_c",))),
        (Result("viscosity", mark("Viscosity there"), "viscosity"),),
        _viscosity_at,
        mark("log log (ν + 0.7) = A − B log T"),
        mark("ASTM D341"),
        mark("−40 to 160 °C, a plain liquid: not below its pour or cloud point."),
    ),
    Calculation(
        "oil-fill",
        mark("Oil in the casing from its level"),
        SUBJECT,
        (Input("level", mark("Height of the level"), "length"), HEIGHTS, VOLUMES),
        (Result("volume", mark("Oil in the casing"), "volume"),),
        _oil_fill,
        mark("Straight lines between the calibration points of this casing"),
        mark("Common practice"),
        figure="oil_level",
    ),
    Calculation(
        "oil-level",
        mark("Level of a fill"),
        SUBJECT,
        (Input("volume", mark("Oil in the casing"), "volume"), HEIGHTS, VOLUMES),
        (Result("level", mark("Height of the level"), "length", decimals=1),),
        _oil_level,
        mark("Straight lines between the calibration points of this casing"),
        mark("Common practice"),
        figure="oil_level",
    ),
    Calculation(
        "oil-containers",
        mark("Containers to buy"),
        SUBJECT,
        (
            Input("volume", mark("Fill"), "volume"),
            Input(
                "sizes",
                mark("Sizes on sale"),
                "volume",
                is_list=True,
                measured=mark("Up to four, each a fiftieth of the fill or more."),
                rule_names=("number of sizes", "size_l"),
            ),
        ),
        (
            Result("containers", mark("Buy"), "text"),
            Result("bought", mark("Oil bought"), "volume"),
            Result("left_over", mark("Left over"), "volume"),
        ),
        _oil_containers,
        mark("least left over, then fewest containers"),
        mark("Plain arithmetic"),
    ),
    Calculation(
        "friction-modifier",
        mark("Friction modifier in a fill"),
        SUBJECT,
        (
            Input("fill", mark("Whole fill, oil and modifier together"), "volume"),
            Input(
                "share",
                mark("Share of the modifier, as its maker says, such as 5 %"),
                "ratio",
                rule_names=("share_ratio",),
            ),
        ),
        (
            Result("modifier", mark("Friction modifier"), "volume", "ml"),
            Result("oil", mark("Oil"), "volume"),
        ),
        _friction_modifier,
        mark("modifier = fill · share"),
        mark("Common practice"),
        mark("Shares below 50 %. Not for an oil sold for limited-slip carriers: it has its modifier."),
    ),
)
