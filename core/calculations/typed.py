"""What is typed into a calculation: one value or several, and what is said where it cannot be used."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from core.errors import InputError
from core.language import tr
from core.quantities import Amount, parse


class RefusedInputError(InputError):
    """An input that cannot be used.

    Parameters
    ----------
    key : str
        Key of the input.
    sentence : str
        What is wrong, already translated, with ``{input}`` where its name goes.
    remedy : str
        What to do about it.
    """

    def __init__(self, key: str, sentence: str, remedy: str = "") -> None:
        super().__init__(sentence.replace("{input}", key), remedy)
        self.key = key
        self.sentence = sentence

    def called(self, name: str) -> str:
        """Return the sentence with the input called by another name: its label on a page."""
        return self.sentence.replace("{input}", name)


# Tables print the constants of a material with a power of ten; in a measured value it is a slip of the finger.
_KINDS_WITH_POWERS = ("stress", "expansion")
_WITH_POWER = re.compile(r"([+\-−]?\d+(?:[.,]\d+)?)[eE]([+\-−]?\d{1,2})(?![\d.,])")
_LIST_BREAK = re.compile(r",\s+|\s+")
_BEGINS_A_NUMBER = re.compile(r"[+\-−]?[.,]?\d")
_FRACTION = re.compile(r"\d+/\d+\D*")


def read_amounts(
    kind: str, text: str, unit: str, choices: Sequence[str] = (), *, is_list: bool = False
) -> tuple[Amount, ...]:
    """Read one value, or several typed in one go.

    Parameters
    ----------
    kind : str
        Key of the kind of quantity.
    text : str
        As typed.
    unit : str
        Id of the unit a bare number is taken in.
    choices : sequence of str
        For a choice: the keys that may be chosen.
    is_list : bool
        True where several values may be given.

    Returns
    -------
    tuple of Amount
        One, or more for a list.

    Raises
    ------
    InputError
        Whatever cannot be read in exactly one way.

    Examples
    --------
    >>> [amount.value for amount in read_amounts("length", "3 4 5 thou", "mm", is_list=True)]
    [0.0762, 0.1016, 0.127]
    >>> read_amounts("expansion", "10.91e-6", "one_k")
    (Amount(kind='expansion', value=1.091e-05, text='10.91e-6', unit='one_k'),)
    """
    if is_list:
        return tuple(parse(kind, part, unit) for part in split_list(text))
    if kind == "choice":
        return (parse(kind, _chosen(text, choices), "", choices),)
    if kind in _KINDS_WITH_POWERS:
        return (replace(parse(kind, _written_out(text.strip()), unit), text=text.strip()),)
    return (parse(kind, text, unit),)


def _chosen(text: str, choices: Sequence[str]) -> str:
    """Return the key of a choice however its words are joined, or by the one word no other choice has."""
    wanted = re.sub(r"[\s_-]+", "-", text.strip().casefold())
    found = [key for key in choices if wanted == key] or [key for key in choices if wanted in key.split("-")]
    return found[0] if len(found) == 1 else text


def _written_out(text: str) -> str:
    """Return a number with a power of ten as plain digits; anything else as it is."""
    found = _WITH_POWER.match(text)
    if not found:
        return text
    digits, power = (part.replace("−", "-").replace(",", ".") for part in found.groups())
    return f"{Decimal(digits).scaleb(int(power)):f}{text[found.end() :]}"


def split_list(text: str) -> list[str]:
    """Split several values typed in one go.

    Semicolons, spaces, or commas followed by a space part them; commas between numbers with a point part them too.
    Words go with the number before them; one unit at the end serves all.

    Raises
    ------
    InputError
        For fractions that are not parted by semicolons: ``3 1/4`` may be one value or two.

    Examples
    --------
    >>> split_list("0.07 0.08 mm")
    ['0.07 mm', '0.08 mm']
    >>> split_list("0,07; 0,08")
    ['0,07', '0,08']
    >>> split_list("0.07,0.08,0.09")
    ['0.07', '0.08', '0.09']
    >>> split_list("3 thou 0.08 mm")
    ['3 thou', '0.08 mm']
    """
    if ";" in text:
        return [part for part in re.split(r"\s*;\s*", text.strip()) if part] or [text]
    values: list[str] = []
    for word in filter(None, _LIST_BREAK.split(text.strip())):
        if values and not _BEGINS_A_NUMBER.match(word):
            values[-1] += f" {word}"
        elif values and _FRACTION.fullmatch(word):
            raise InputError(tr("The fractions can be read in two ways."), tr("Put a semicolon between the values."))
        else:
            values += [part for part in word.split(",") if part] if "," in word and "." in word else [word]
    last, *others = reversed(values or [text])
    number, unit = _parted(last)
    if unit and others and not any(_parted(other)[1] for other in others):
        values = [f"{other} {unit}" for other in reversed(others)] + [f"{number} {unit}"]
    return values or [text]


def _parted(value: str) -> tuple[str, str]:
    """Return the digits a value begins with, and the rest."""
    digits = re.match(r"[+\-−]?[\d.,/]*", value)
    number = digits[0] if digits else ""
    return number, value[len(number) :].strip()
