"""From what a person types to a value, between units, and back to text.

A value is a bare float in the canonical unit of its kind; what was typed and in which unit is kept beside it.
The grammar is our own and refuses what could be read in two ways; pint is only asked to convert, never to read.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from core.errors import InputError
from core.language import tr
from core.outlines import read_outline
from core.units import KINDS, Kind, Unit, convert, named_unit

__all__ = [
    "KINDS",
    "LONGEST_LINE",
    "LONGEST_TEXT",
    "Amount",
    "Kind",
    "Unit",
    "as_typed",
    "from_unit",
    "number",
    "parse",
    "show",
    "to_unit",
    "unit_for",
    "width_of",
]

LONGEST_LINE = 200
LONGEST_TEXT = 4000

_UNIT_SIGNS = "%°\"'′″”“"
"""Signs that stand for a unit where no letters do."""


@dataclass(frozen=True)
class Amount:
    """What was typed and what it comes to: `value` in the canonical unit, `text` as typed, `unit` it was taken in.

    For words `value` is None; for a choice `text` is its key, for yes/no it is ``yes`` or ``no`` and `value` 1 or 0.
    """

    kind: str
    value: float | None
    text: str
    unit: str


_YES_NO = {"yes": ("yes", 1.0), "y": ("yes", 1.0), "no": ("no", 0.0), "n": ("no", 0.0)}
_BLANKS = " \t\r\n\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000"
_VULGAR = {c: unicodedata.normalize("NFKC", c).replace("\u2044", "/") for c in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"}
_NUMBER = re.compile(
    r"(?P<sign>[+-]?) *"
    r"(?:(?:(?P<whole>[0-9]+)(?: +|-))?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)|(?P<decimal>[0-9]*[.,][0-9]+|[0-9]+))"
)
_GROUPED = re.compile(r" *[.,'_\u2019](?: *[0-9]|$)")
_POWER = re.compile(r" *(?:[eE] *[+-]?|[x\u00d7·*] *10 *\^? *[+-]?)[0-9²³]")
_SECOND_NUMBER = re.compile(r"(?<![A-Za-z0-9^])[0-9]")


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
    if kind == "outline":
        return Amount(kind, None, _outline(text), "")
    typed = _line(text)
    if kind == "choice":
        return Amount(kind, None, _chosen(typed, choices), "")
    if kind == "yes_no":
        word, value = _yes_or_no(typed)
        return Amount(kind, value, word, "")
    if kind == "count":
        return Amount(kind, _whole_number(typed), typed, asked.canonical.id)
    figure, taken_in = _number_and_unit(asked, typed, unit)
    value = float(convert(kind, figure, taken_in.id, asked.canonical.id))
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
    words = "\n".join(re.split("\r\n|[\n\r\x85\u2028\u2029]", text)).strip(_BLANKS)
    if any(_is_hidden(c) for c in words if c != "\n"):
        raise InputError(tr("The text holds a control character."), tr("Type it again by hand, without tabs."))
    if all(c.isspace() or unicodedata.category(c) == "Cf" for c in words):
        raise InputError(tr("Nothing was typed."), tr("Type a word, or leave the field as it is."))
    return words


def _outline(text: str) -> str:
    """Return an outline as it was drawn, without the blanks around it, or refuse it."""
    line = text.strip(_BLANKS)
    read_outline(line)
    return line


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
    unit = named_unit(asked, rest)
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
    remedy = tr("Use one of: {units}.", units=_unit_list(asked))
    for other in KINDS.values():
        if named_unit(other, rest) is not None:
            sentence = tr(
                "{typed} is {other}; {asked} is asked for.",
                typed=quoted,
                other=tr(other.phrase),
                asked=tr(asked.phrase),
            )
            return InputError(sentence, remedy)
    if _SECOND_NUMBER.search(rest):
        return InputError(tr("{typed} holds more than one number.", typed=quoted), tr("Type one number and its unit."))
    return InputError(tr("{unit} is not a unit of {kind} here.", unit=_quoted(rest), kind=tr(asked.label)), remedy)


def _unit_list(kind: Kind) -> str:
    """Return the labels of the units of a kind, for a sentence."""
    return ", ".join(unit.label for unit in kind.units if unit.label)


# --- between units ---------------------------------------------------------------------------------------------------


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
    return float(convert(kind, Decimal(repr(float(value))), asked.canonical.id, asked.unit(unit_id).id))


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
    return float(convert(kind, Decimal(repr(float(value))), asked.unit(unit_id).id, asked.canonical.id))


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


def as_typed(kind: str, text: str, unit_id: str) -> str:
    """Return a number as it was typed, followed by the unit it was taken in where none was typed with it.

    Parameters
    ----------
    kind : str
        Key of the kind.
    text : str
        As typed.
    unit_id : str
        Id of the unit it was taken in.

    Examples
    --------
    >>> as_typed("length", "3½", "in"), as_typed("length", "3½ in", "in")
    ('3½ in', '3½ in')
    """
    if any(c.isalpha() or c in _UNIT_SIGNS for c in text):
        return text
    return f"{text} {KINDS[kind].unit(unit_id).label}".rstrip()


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
