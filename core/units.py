"""Kinds of quantity and the units a person may type for each: the closed list, declared once.

Whatever is named here is understood, shown and converted; pint is told the sizes and only ever converts.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from core.language import mark

if TYPE_CHECKING:
    import pint


@dataclass(frozen=True)
class Unit:
    """A unit a person may type.

    `label` is what is shown; `size` is the unit in terms of another of its kind, as pint defines units;
    `partner` is the unit of the other system that goes with it; `decimals` is how finely it is shown.
    A ``·`` in an alias stands for any of the separators people put between two units, or for none.
    """

    id: str
    label: str
    size: str
    decimals: int
    aliases: tuple[str, ...] = ()
    system: str = ""
    partner: str = ""


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its name, its name with an article, and its units, the canonical one first."""

    key: str
    label: str
    phrase: str
    units: tuple[Unit, ...] = ()

    @property
    def is_number(self) -> bool:
        """Whether a value of this kind is a number with a unit (a count and a ratio included)."""
        return bool(self.units)

    @property
    def canonical(self) -> Unit:
        """The unit values are kept in; IndexError for the kinds that are words."""
        return self.units[0]

    def unit(self, unit_id: str) -> Unit:
        """Return the unit with this id; KeyError where the kind has none."""
        for unit in self.units:
            if unit.id == unit_id:
                return unit
        raise KeyError(f"{self.key} has no unit {unit_id!r}")


def _both_ways(first: Sequence[str], second: Sequence[str]) -> tuple[str, ...]:
    """Return every pair of the two words, in either order: torques are written both ways round."""
    return tuple(f"{a}·{b}" for f in first for s in second for a, b in ((f, s), (s, f)))


_INCHES = ("in", "inch", "inches")
_FEET = ("ft", "foot", "feet")
_POUNDS = ("lbf", "lb", "lbs", "pound", "pounds")
_OUNCES = ("ozf", "oz", "ounce", "ounces")
_KILOPONDS = ("kgf", "kg", "kp")

# Sizes: NIST SP 811 (2008) B.8, from its exact ones (in, lb, kgf, gallons); lbf = lb times standard gravity.
_LENGTH = (
    Unit("mm", "mm", "[length]", 3, ("millimetre", "millimetres", "millimeter", "millimeters"), "metric", "in"),
    Unit("um", "µm", "0.001 * mm", 1, ("um", "micron", "microns", "micrometre", "micrometer"), "metric", "thou"),
    Unit("cm", "cm", "10 * mm", 4, ("centimetre", "centimetres", "centimeter", "centimeters"), "metric", "in"),
    Unit("m", "m", "1000 * mm", 6, ("metre", "metres", "meter", "meters"), "metric", "in"),
    Unit("in", "in", "25.4 * mm", 4, (*_INCHES, '"'), "inch", "mm"),
    # "mil" is left out: spoken, it is as often a millimetre.
    Unit("thou", "thou", "0.0254 * mm", 1, (), "inch", "mm"),
)
_TORQUE = (
    Unit("n_m", "N·m", "[torque]", 2, ("newton·metre", "newton·metres", "newton·meters"), "metric", "lbf_in"),
    Unit("n_cm", "N·cm", "0.01 * n_m", 1, (), "metric", "ozf_in"),
    Unit("lbf_in", "lbf·in", "0.1129848290276167 * n_m", 1, _both_ways(_POUNDS, _INCHES), "inch", "n_m"),
    Unit("lbf_ft", "lbf·ft", "1.3558179483314004 * n_m", 2, _both_ways(_POUNDS, _FEET), "inch", "n_m"),
    Unit("ozf_in", "ozf·in", "0.00706155181422604375 * n_m", 1, _both_ways(_OUNCES, _INCHES), "inch", "n_cm"),
    Unit("kgf_cm", "kgf·cm", "0.0980665 * n_m", 1, _both_ways(_KILOPONDS, ("cm",)), "metric", "lbf_in"),
    Unit("kgf_m", "kgf·m", "9.80665 * n_m", 3, _both_ways(_KILOPONDS, ("m",)), "metric", "lbf_ft"),
)
# A spring scale is marked in kg or lb and reads a force; where a force is asked for, no other reading is possible.
_FORCE = (
    Unit("n", "N", "[force]", 1, ("newton", "newtons"), "metric", "lbf"),
    Unit("kn", "kN", "1000 * n", 3, ("kilonewton", "kilonewtons"), "metric", "lbf"),
    Unit("kgf", "kgf", "9.80665 * n", 2, _KILOPONDS, "metric", "lbf"),
    Unit("lbf", "lbf", "4.4482216152605 * n", 2, _POUNDS, "inch", "n"),
)
_ANGLE = (
    Unit("deg", "°", "[angle]", 2, ("deg", "degree", "degrees")),
    Unit("rad", "rad", "57.29577951308232087679815481 * deg", 4, ("radian", "radians")),
)
# US and imperial measures differ by a fifth: the label always says which; bare, they are the US ones.
_VOLUME = (
    Unit("l", "L", "[volume]", 2, ("l", "litre", "litres", "liter", "liters", "ltr"), "metric", "us_qt"),
    Unit("ml", "mL", "0.001 * l", 0, ("ml", "cc", "ccm", "cm3", "millilitre", "milliliter"), "metric", "us_pt"),
    Unit("us_qt", "US qt", "0.946352946 * l", 2, ("US·qt", "qt", "qts", "quart", "quarts"), "inch", "l"),
    Unit("us_pt", "US pt", "0.473176473 * l", 2, ("US·pt", "pt", "pts", "pint", "pints"), "inch", "l"),
    Unit("imp_qt", "imp qt", "1.1365225 * l", 2, ("imp·qt", "imp·quart", "imp·quarts", "UK·qt"), "inch", "l"),
    Unit("imp_pt", "imp pt", "0.56826125 * l", 2, ("imp·pt", "imp·pint", "imp·pints", "UK·pt"), "inch", "l"),
    Unit("us_gal", "US gal", "3.785411784 * l", 3, ("US·gal", "gal", "gallon", "gallons"), "inch", "l"),
)
_CELSIUS = ("°·C", "C", "deg·C", "celsius")
_FAHRENHEIT = ("°·F", "F", "deg·F", "fahrenheit")
_TEMPERATURE = (
    Unit("deg_c", "°C", "k; offset: 273.15", 1, _CELSIUS, "metric", "deg_f"),
    Unit("deg_f", "°F", "5 / 9 * k; offset: 459.67 * 5 / 9", 1, _FAHRENHEIT, "inch", "deg_c"),
    Unit("k", "K", "[temperature]", 1, ("kelvin",), "metric", "deg_f"),
)
_TEMPERATURE_DIFFERENCE = (
    Unit("k_diff", "K", "[temperature_difference]", 1, ("kelvin",), "metric", "f_diff"),
    Unit("c_diff", "°C", "k_diff", 1, _CELSIUS, "metric", "f_diff"),
    Unit("f_diff", "°F", "5 / 9 * k_diff", 1, _FAHRENHEIT, "inch", "k_diff"),
)
_MASS = (
    Unit("kg", "kg", "[mass]", 3, ("kilogram", "kilograms"), "metric", "lb"),
    Unit("g", "g", "0.001 * kg", 1, ("gram", "grams"), "metric", "oz"),
    Unit("lb", "lb", "0.45359237 * kg", 3, ("lbs", "pound", "pounds"), "inch", "kg"),
    Unit("oz", "oz", "0.028349523125 * kg", 2, ("ounce", "ounces"), "inch", "g"),
)
_VISCOSITY = (
    Unit("mm2_s", "mm²/s", "[viscosity]", 2, ("mm^2/s",)),
    Unit("cst", "cSt", "mm2_s", 2, ("centistoke", "centistokes")),
)
_AREA = (
    Unit("mm2", "mm²", "[area]", 2, ("mm^2", "sq·mm"), "metric", "in2"),
    Unit("cm2", "cm²", "100 * mm2", 3, ("cm^2", "sq·cm"), "metric", "in2"),
    Unit("in2", "in²", "645.16 * mm2", 4, ("in^2", "sq·in"), "inch", "mm2"),
)
# Megapascal stands before pascal and takes "mpa" too: nobody here measures in millipascal.
_STRESS = (
    Unit("mpa", "MPa", "[stress]", 1, ("megapascal",), "metric", "psi"),
    Unit("n_mm2", "N/mm²", "mpa", 1, ("N/mm^2",), "metric", "psi"),
    Unit("gpa", "GPa", "1000 * mpa", 3, ("gigapascal",), "metric", "ksi"),
    Unit("pa", "Pa", "0.000001 * mpa", 0, ("pascal",), "metric", "psi"),
    Unit(
        "psi", "psi", "4.4482216152605 / 645.16 * mpa", 0, ("lbf/in²", "lbf/in^2", "lb/in²", "lb/in^2"), "inch", "mpa"
    ),
    Unit("ksi", "ksi", "1000 * psi", 2, (), "inch", "gpa"),
)
_STIFFNESS = (
    Unit("n_mm", "N/mm", "[stiffness]", 0, (), "metric", "lbf_in"),
    Unit("kn_mm", "kN/mm", "1000 * n_mm", 2, (), "metric", "lbf_in"),
    Unit("n_um", "N/µm", "1000 * n_mm", 2, ("N/um",), "metric", "lbf_in"),
    Unit("lbf_in", "lbf/in", "4.4482216152605 / 25.4 * n_mm", 0, ("lb/in",), "inch", "n_mm"),
)
# Tables print the expansion of a material in millionths; a bare number is what formulas take, so it is per kelvin.
_EXPANSION = (
    Unit("one_k", "1/K", "[expansion]", 9, ("/K", "per·K", "1/°C", "/°C", "1/C", "per·°C"), "metric", "ppm_f"),
    Unit(
        "ppm_k",
        "ppm/K",
        "0.000001 * one_k",
        3,
        ("ppm/°C", "ppm/C", "µm/(m·K)", "µm/m·K", "µm/m/K", "um/(m·K)", "um/m·K", "um/m/K", "µm/m·°C", "um/m·C"),
        "metric",
        "ppm_f",
    ),
    Unit(
        "ppm_f",
        "ppm/°F",
        "0.0000018 * one_k",
        3,
        ("ppm/F", "µin/(in·°F)", "µin/in·°F", "µin/in/°F", "uin/in·°F", "uin/in·F"),
        "inch",
        "ppm_k",
    ),
)
_COUNT = (Unit("one", "", "[count]", 0),)
_RATIO = (Unit("one", "", "[ratio]", 3, (":·1",)), Unit("percent", "%", "0.01 * one", 1, ("percent", "per·cent")))

# Mass stands before force so that "5 kg" typed into a torque is called a mass.
KINDS: dict[str, Kind] = {
    kind.key: kind
    for kind in (
        Kind("length", mark("length"), mark("a length"), _LENGTH),
        Kind("torque", mark("torque"), mark("a torque"), _TORQUE),
        Kind("mass", mark("mass"), mark("a mass"), _MASS),
        Kind("force", mark("force"), mark("a force"), _FORCE),
        Kind("angle", mark("angle"), mark("an angle"), _ANGLE),
        Kind("volume", mark("volume"), mark("a volume"), _VOLUME),
        Kind("temperature", mark("temperature"), mark("a temperature"), _TEMPERATURE),
        Kind(
            "temperature_difference",
            mark("temperature difference"),
            mark("a temperature difference"),
            _TEMPERATURE_DIFFERENCE,
        ),
        Kind("viscosity", mark("viscosity"), mark("a viscosity"), _VISCOSITY),
        Kind("area", mark("area"), mark("an area"), _AREA),
        Kind("stress", mark("stress"), mark("a stress"), _STRESS),
        Kind("stiffness", mark("stiffness"), mark("a stiffness"), _STIFFNESS),
        Kind("expansion", mark("thermal expansion"), mark("a thermal expansion"), _EXPANSION),
        Kind("count", mark("count"), mark("a count"), _COUNT),
        Kind("ratio", mark("ratio"), mark("a ratio"), _RATIO),
        Kind("text", mark("text"), mark("a text")),
        Kind("outline", mark("outline"), mark("an outline")),
        Kind("choice", mark("choice"), mark("a choice")),
        Kind("yes_no", mark("yes or no"), mark("yes or no")),
    )
}

_JOINTS = re.compile(r"[\s.·\u22c5\u2219\u2022*\-\u2010\u2011]+")


def named_unit(kind: Kind, text: str) -> Unit | None:
    """Return the unit of a kind that goes by this name, or None.

    A name as declared comes first; its case is ignored where it is not, since the kind is known: ``NM`` in a torque
    field is N·m.
    """
    exact, folded = _unit_names(kind.key)
    name = _unit_name(text)
    return exact.get(name) or folded.get(name.casefold())


def _unit_name(text: str) -> str:
    """Return a unit as typed with one spelling for its marks and for what joins its parts."""
    name = unicodedata.normalize("NFKC", text.replace("º", "°").replace("˚", "°").rstrip("."))
    for inch_mark in ("''", "\u2032\u2032", "\u2019\u2019", "\u201d", "\u201c"):
        name = name.replace(inch_mark, '"')
    return _JOINTS.sub("·", re.sub(r"\s*/\s*", "/", name))


@cache
def _unit_names(kind: str) -> tuple[dict[str, Unit], dict[str, Unit]]:
    """Return the units of a kind by name as written, and by name whatever its case."""
    exact: dict[str, Unit] = {}
    for unit in KINDS[kind].units:
        for name in filter(None, (_unit_name(alias) for alias in (unit.label, *unit.aliases))):
            exact[name] = exact[name.replace("·", "")] = unit
    return exact, {name.casefold(): unit for name, unit in exact.items()}


@cache
def _registry(kind: str) -> pint.UnitRegistry[Decimal]:
    """Return the converter of one kind; it knows no other, so a torque can never become an energy."""
    import pint  # it takes a while, and a window should show before it

    registry: pint.UnitRegistry[Decimal] = pint.UnitRegistry(None, non_int_type=Decimal)
    for unit in KINDS[kind].units:
        registry.define(f"{unit.id} = {unit.size}")
    return registry


@lru_cache(maxsize=4096)  # a stage is judged anew at each reading, mostly from the same values
def convert(kind: str, value: Decimal, source: str, target: str) -> Decimal:
    """Convert a number from one unit of a kind to another, both named by their ids.

    In decimals, so that 0.006 in is exactly 0.1524 mm.

    Source
    ------
    NIST SP 811 (2008), appendix B.
    """
    if source == target:
        return value
    return _registry(kind).convert(value, source, target)
