"""Kinds of quantity, the units a person may type for each, and the way from text to value and back.

A value is a bare float in the canonical unit of its kind; what was typed and in which unit is kept beside it.
The grammar is our own and refuses what could be read in two ways; pint is only asked to convert, never to read.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from core.errors import InputError
from core.language import mark, tr

if TYPE_CHECKING:
    import pint

LONGEST_LINE = 200
LONGEST_TEXT = 4000


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


@dataclass(frozen=True)
class Amount:
    """What was typed and what it comes to: `value` in the canonical unit, `text` as typed, `unit` it was taken in.

    For words `value` is None; for a choice `text` is its key, for yes/no it is ``yes`` or ``no`` and `value` 1 or 0.
    """

    kind: str
    value: float | None
    text: str
    unit: str


def _both_ways(first: Sequence[str], second: Sequence[str]) -> tuple[str, ...]:
    """Return every pair of the two words, in either order: torques are written both ways round."""
    return tuple(f"{a}·{b}" for f in first for s in second for a, b in ((f, s), (s, f)))


_INCHES = ("in", "inch", "inches")
_FEET = ("ft", "foot", "feet")
_POUNDS = ("lbf", "lb", "lbs", "pound", "pounds")
_OUNCES = ("ozf", "oz", "ounce", "ounces")
_KILOPONDS = ("kgf", "kg", "kp")

# One size per line, from NIST SP 811 (2008) B.8; the exact ones are exact there too (in, lb, lbf, gallons, kgf).
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
_COUNT = (Unit("one", "", "[count]", 0),)
_RATIO = (Unit("one", "", "[ratio]", 3, (":1",)), Unit("percent", "%", "0.01 * one", 1, ("percent", "per·cent")))

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
        Kind("count", mark("count"), mark("a count"), _COUNT),
        Kind("ratio", mark("ratio"), mark("a ratio"), _RATIO),
        Kind("text", mark("text"), mark("a text")),
        Kind("choice", mark("choice"), mark("a choice")),
        Kind("yes_no", mark("yes or no"), mark("yes or no")),
    )
}

_YES_NO = {"yes": ("yes", 1.0), "y": ("yes", 1.0), "no": ("no", 0.0), "n": ("no", 0.0)}
_BLANKS = " \t\r\n\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000"
_VULGAR = {c: unicodedata.normalize("NFKC", c).replace("\u2044", "/") for c in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"}
_NUMBER = re.compile(
    r"(?P<sign>[+-]?) *"
    r"(?:(?:(?P<whole>[0-9]+)(?: +|-))?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)|(?P<decimal>[0-9]*[.,][0-9]+|[0-9]+))"
)
_GROUPED = re.compile(r" *[.,'_\u2019](?: *[0-9]|$)")
_POWER = re.compile(r" *(?:[eE] *[+-]?|[x\u00d7·*] *10 *\^? *[+-]?)[0-9]")
_SECOND_NUMBER = re.compile(r"(?<![A-Za-z0-9^])[0-9]")
_JOINTS = re.compile(r"[\s.·\u22c5\u2219\u2022*\-\u2010\u2011]+")


# --- from text -------------------------------------------------------------------------------------------------------


def parse(kind: str, text: str, unit: str = "", choices: Sequence[str] = ()) -> Amount:
    """Read what a person typed.

    Parameters
    ----------
    kind : str
        Key of the kind that is asked for (`KINDS`).
    text : str
        As typed.
    unit : str
        Id of the unit a bare number is taken in; "" refuses a bare number where the kind has a unit.
    choices : sequence of str
        For ``choice``: the keys that may be chosen.

    Returns
    -------
    Amount
        Value in the canonical unit, text as typed, unit it was taken in.

    Raises
    ------
    InputError
        Whatever cannot be read in exactly one way.

    Examples
    --------
    >>> parse("length", '3 1/4"').value
    82.55
    >>> parse("torque", "6 in-lb", "n_m")
    Amount(kind='torque', value=0.6779089741657002, text='6 in-lb', unit='lbf_in')
    """
    asked = KINDS[kind]
    if kind == "text":
        return Amount(kind, None, _words(text), "")
    typed = _line(text)
    if kind == "choice":
        return Amount(kind, None, _chosen(typed, choices), "")
    if kind == "yes_no":
        word, value = _yes_or_no(typed)
        return Amount(kind, value, word, "")
    if kind == "count":
        return Amount(kind, _whole_number(typed), typed, asked.canonical.id)
    number, taken_in = _number_and_unit(asked, typed, unit)
    value = float(_convert(asked, number, taken_in.id, asked.canonical.id))
    return Amount(kind, value + 0.0, typed, taken_in.id)  # + 0.0 turns a negative nought into nought


def _line(text: str) -> str:
    """Return one typed line without the blanks around it, or refuse it."""
    if len(text) > LONGEST_LINE:
        raise InputError(
            tr("This is {count} characters long.", count=len(text)), tr("Type one value, for example 0.08 mm.")
        )
    line = text.strip(_BLANKS)
    if not line:
        raise InputError(tr("Nothing was typed."), tr("Type a value, or leave the field as it is."))
    if any(_is_hidden(c) or unicodedata.category(c) in ("Cf", "Zl", "Zp") for c in line):
        raise InputError(tr("{typed} holds a hidden character.", typed=_quoted(line)), tr("Type it again by hand."))
    return line


def _words(text: str) -> str:
    """Return a text of any number of lines with plain line ends, or refuse it."""
    if len(text) > LONGEST_TEXT:
        raise InputError(
            tr("The text is {count} characters long.", count=len(text)),
            tr("Shorten it to {most} characters.", most=LONGEST_TEXT),
        )
    words = "\n".join(re.split("\r\n|[\n\r\x85\u2028\u2029]", text)).strip()
    if not words:
        raise InputError(tr("Nothing was typed."), tr("Type a word, or leave the field as it is."))
    if any(_is_hidden(c) for c in words if c != "\n"):
        raise InputError(tr("The text holds a control character."), tr("Type it again by hand, without tabs."))
    return words


def _is_hidden(character: str) -> bool:
    """Whether a character is a control character or half of a broken pair."""
    return unicodedata.category(character) in ("Cc", "Cs")


def _quoted(text: str) -> str:
    """Return a text in quotes, fit to stand in a sentence."""
    short = text if len(text) <= 40 else text[:39] + "…"
    return "“" + "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in short) + "”"


def _chosen(typed: str, choices: Sequence[str]) -> str:
    """Return the chosen key, or refuse what is not among the choices."""
    if typed not in choices:
        raise InputError(
            tr("{typed} is not one of the answers.", typed=_quoted(typed)),
            tr("Choose one of: {choices}.", choices=", ".join(choices)),
        )
    return typed


def _yes_or_no(typed: str) -> tuple[str, float]:
    """Return the answer and its number, or refuse it."""
    answer = _YES_NO.get(typed.casefold())
    if answer is None:
        raise InputError(tr("{typed} is neither yes nor no.", typed=_quoted(typed)), tr("Type yes or no."))
    return answer


def _whole_number(typed: str) -> float:
    """Return a count, or refuse it."""
    if not re.fullmatch(r"\+?[0-9]+", typed):
        raise InputError(
            tr("{typed} is not a whole number.", typed=_quoted(typed)),
            tr("Type how many as digits without a unit, for example 11."),
        )
    return float(typed)


def _number_and_unit(asked: Kind, typed: str, default: str) -> tuple[Decimal, Unit]:
    """Return the number and the unit it is given in, or refuse what can be read in two ways."""
    plain = _plain(typed)
    found = _NUMBER.match(plain)
    if found is None:
        raise InputError(
            tr("{typed} does not begin with a number.", typed=_quoted(typed)),
            tr("Type a number and a unit: {units}.", units=_unit_list(asked)),
        )
    rest = plain[found.end() :].strip()
    if not rest:
        return _number(found, typed), _default_unit(asked, typed, default)
    unit = _named_unit(asked, rest)
    if unit is None:
        raise _refusal(asked, typed, rest)
    return _number(found, typed), unit


def _plain(typed: str) -> str:
    """Return what was typed with one kind of blank, minus and fraction; refuse digits that are not ours."""
    if any(c.isnumeric() and not c.isascii() and c not in "²³" and c not in _VULGAR for c in typed):
        raise InputError(
            tr("{typed} holds other digits than 0 to 9.", typed=_quoted(typed)), tr("Type it with 0 to 9.")
        )
    # The blanks around a fraction keep "3½" from becoming 31/2 and "½5" from becoming 1/25.
    plain = "".join(f" {_VULGAR[c]} " if c in _VULGAR else " " if c in _BLANKS else c for c in typed)
    return plain.replace("\N{MINUS SIGN}", "-").replace("\u2044", "/").replace("\u2215", "/").strip()


def _number(found: re.Match[str], typed: str) -> Decimal:
    """Return the number a match stands for; refuse a fraction that is none."""
    sign = -1 if found["sign"] == "-" else 1
    if found["decimal"]:
        return sign * Decimal(found["decimal"].replace(",", "."))
    top, bottom = Decimal(found["top"]), Decimal(found["bottom"])
    is_mixed = found["whole"] is not None
    # "0-1/4" is a range, "3 5/4" a slip of the finger; neither is read as a sum.
    if not bottom or (is_mixed and not (Decimal(found["whole"]) and 0 < top < bottom)):
        raise InputError(
            tr("{typed} is not a proper fraction.", typed=_quoted(typed)), tr("Type it like 3 1/4 or as 3.25.")
        )
    return sign * (Decimal(found["whole"] or 0) + top / bottom)


def _default_unit(asked: Kind, typed: str, default: str) -> Unit:
    """Return the unit a bare number is taken in."""
    if default:
        return asked.unit(default)
    if asked.canonical.label:
        raise InputError(
            tr("{typed} has no unit.", typed=_quoted(typed)), tr("Add one of: {units}.", units=_unit_list(asked))
        )
    return asked.canonical


def _refusal(asked: Kind, typed: str, rest: str) -> InputError:
    """Return the sentence for what follows a number and is none of the units asked for."""
    quoted = _quoted(typed)
    if _POWER.match(rest):
        return InputError(
            tr("{typed} is written with a power of ten.", typed=quoted), tr("Write the number out, for example 0.003.")
        )
    if _GROUPED.match(rest):
        return InputError(
            tr("{typed} is not one plain number.", typed=quoted),
            tr("Type it without grouping, with one decimal point or comma and digits after it, for example 1234.5."),
        )
    if _SECOND_NUMBER.search(rest):
        return InputError(tr("{typed} holds more than one number.", typed=quoted), tr("Type one number and its unit."))
    remedy = tr("Use one of: {units}.", units=_unit_list(asked))
    for other in KINDS.values():
        if _named_unit(other, rest) is not None:
            sentence = tr(
                "{typed} is {other}; {asked} is asked for.",
                typed=quoted,
                other=tr(other.phrase),
                asked=tr(asked.phrase),
            )
            return InputError(sentence, remedy)
    return InputError(tr("{unit} is not a unit of {kind} here.", unit=_quoted(rest), kind=tr(asked.label)), remedy)


def _unit_list(kind: Kind) -> str:
    """Return the labels of the units of a kind, for a sentence."""
    return ", ".join(unit.label for unit in kind.units if unit.label)


def _named_unit(kind: Kind, text: str) -> Unit | None:
    """Return the unit of a kind that goes by this name, or None."""
    exact, folded = _unit_names(kind.key)
    name = _unit_name(text)
    return exact.get(name) or folded.get(name.casefold())


def _unit_name(text: str) -> str:
    """Return a unit as typed with one spelling for its marks and for what joins its parts."""
    name = unicodedata.normalize("NFKC", text.replace("º", "°").replace("˚", "°").rstrip("."))
    for inch_mark in ("''", "\u2032\u2032", "\u2019\u2019", "\u201d", "\u201c"):
        name = name.replace(inch_mark, '"')
    return re.sub(r"\s*/\s*", "/", _JOINTS.sub("·", name))


@cache
def _unit_names(kind: str) -> tuple[dict[str, Unit], dict[str, Unit]]:
    """Return the units of a kind by name as written, and by name whatever its case."""
    exact: dict[str, Unit] = {}
    for unit in KINDS[kind].units:
        for name in filter(None, (_unit_name(alias) for alias in (unit.label, *unit.aliases))):
            exact[name] = exact[name.replace("·", "")] = unit
    return exact, {name.casefold(): unit for name, unit in exact.items()}


# --- between units ---------------------------------------------------------------------------------------------------


@cache
def _registry() -> pint.UnitRegistry[Decimal]:
    """Return the converter, built at first use: pint takes a while to import, and a window should show before it."""
    import pint

    registry: pint.UnitRegistry[Decimal] = pint.UnitRegistry(None, non_int_type=Decimal)
    # Each kind is a dimension of its own, so a torque cannot become an energy, nor an angle a number.
    for kind in KINDS.values():
        for unit in kind.units:
            registry.define(f"{kind.key}__{unit.id} = {_qualified(kind, unit.size)}")
    return registry


def _qualified(kind: Kind, size: str) -> str:
    """Return the size of a unit with the names the converter knows the units by."""
    ids = "|".join(unit.id for unit in kind.units)
    return re.sub(rf"(?<![\w\[])({ids})(?![\w\]])", rf"{kind.key}__\1", size)


def _convert(kind: Kind, value: Decimal, source: str, target: str) -> Decimal:
    """Convert a number from one unit of a kind to another."""
    if source == target:
        return value
    return _registry().convert(value, f"{kind.key}__{source}", f"{kind.key}__{target}")


def to_unit(kind: str, value: float, unit_id: str) -> float:
    """Return a canonical value in another unit of its kind.

    Parameters
    ----------
    kind : str
        Key of the kind.
    value : float
        In the canonical unit.
    unit_id : str
        The unit wanted; KeyError where the kind has none of that id.

    Examples
    --------
    >>> to_unit("length", 0.1524, "in")
    0.006
    """
    asked = KINDS[kind]
    return float(_convert(asked, Decimal(repr(float(value))), asked.canonical.id, asked.unit(unit_id).id))


def from_unit(kind: str, value: float, unit_id: str) -> float:
    """Return a value given in some unit of its kind in the canonical one.

    Parameters
    ----------
    kind : str
        Key of the kind.
    value : float
        In the unit `unit_id`.
    unit_id : str
        The unit it is given in; KeyError where the kind has none of that id.

    Examples
    --------
    >>> from_unit("length", 0.006, "in")
    0.1524
    """
    asked = KINDS[kind]
    return float(_convert(asked, Decimal(repr(float(value))), asked.unit(unit_id).id, asked.canonical.id))


def unit_for(kind: str, system: str, like: str = "") -> Unit:
    """Return the unit of a system that goes with another unit of the kind.

    Parameters
    ----------
    kind : str
        Key of the kind.
    system : str
        ``metric`` or ``inch``.
    like : str
        Id of the unit it is to stand beside or instead of; "" for the canonical one.

    Examples
    --------
    >>> unit_for("torque", "inch", "n_m").label
    'lbf·in'
    """
    asked = KINDS[kind]
    unit = asked.unit(like) if like else asked.canonical
    return unit if unit.system in ("", system) else asked.unit(unit.partner)


def width_of(kind: str, unit_id: str) -> tuple[str, str]:
    """Return the kind and unit a difference of two such values has; only temperatures change theirs.

    Examples
    --------
    >>> width_of("temperature", "deg_f")
    ('temperature_difference', 'f_diff')
    """
    if kind == "temperature":
        return "temperature_difference", {"deg_c": "c_diff", "deg_f": "f_diff", "k": "k_diff"}[unit_id]
    return kind, unit_id


# --- to text ---------------------------------------------------------------------------------------------------------


def number(kind: str, value: float, unit_id: str = "", decimals: int | None = None) -> str:
    """Return a canonical value as digits in a unit, rounded half to even, with a decimal point.

    Parameters
    ----------
    kind : str
        Key of the kind.
    value : float
        In the canonical unit.
    unit_id : str
        The unit to show it in; "" for the canonical one.
    decimals : int, optional
        How many; by default what suits the unit.

    Examples
    --------
    >>> number("length", 0.1524, "in")
    '0.0060'
    """
    unit = KINDS[kind].unit(unit_id) if unit_id else KINDS[kind].canonical
    places = unit.decimals if decimals is None else decimals
    return f"{Decimal(repr(to_unit(kind, value, unit.id))):z.{places}f}"


def show(kind: str, value: float, unit_id: str = "", decimals: int | None = None) -> str:
    """Return a canonical value as people read it, with its unit; parameters as for `number`.

    Examples
    --------
    >>> show("length", 0.08)
    '0.080 mm'
    >>> show("ratio", 0.46, "percent")
    '46.0 %'
    """
    label = (KINDS[kind].unit(unit_id) if unit_id else KINDS[kind].canonical).label
    gap = "" if label in ("", "°") else " "
    return number(kind, value, unit_id, decimals) + gap + label
