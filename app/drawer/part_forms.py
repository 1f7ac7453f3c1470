"""What can be done with a piece of the drawer: each act declared as the fields it asks for and who does it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from app.drawer.section import Reader, Values
from app.jobs.form import ChoiceField, Field, TextField
from core.errors import InputError, UserError
from core.facts import FITS_WORDS, PART_WORDS, Part
from core.language import mark, tr
from core.quantities import parse
from core.shop_inputs import places_mm, thickness_mm, whole_number
from core.workshop import Workshop

NONE = "none"


@dataclass(frozen=True)
class Act:
    """One thing that can be done with a part.

    `fields` gives the form and what is filled in beforehand; `readers` read what can be refused field by field;
    `do` does it, in the name of who is at the bench.
    """

    key: str
    title: str
    push: str
    fields: Callable[[Workshop, Part], tuple[Sequence[Field], Values]]
    readers: Mapping[str, Callable[[Values, Part], object]]
    do: Callable[[Workshop, Part, Values, str], Part]

    def refusals(self, values: Values, part: Part) -> dict[str, str]:
        """Return a sentence for every field that cannot be used, by key."""

        def reader(key: str) -> Reader:
            return lambda typed: self.readers[key](typed, part)

        return refusals({key: reader(key) for key in self.readers}, values)


def refusals(readers: Mapping[str, Reader], values: Values) -> dict[str, str]:
    """Return a sentence for every field that cannot be used, by key."""
    refused = {}
    for key, read in readers.items():
        try:
            read(values)
        except UserError as error:
            refused[key] = str(error)
    return refused


# -- adding ------------------------------------------------------------------------------------------------------------


def add_fields(workshop: Workshop) -> Sequence[Field]:
    """Return the fields a new part is typed into."""
    return (
        ChoiceField("kind", tr("What it is"), [(kind, tr(word)) for kind, word in PART_WORDS.items()]),
        _fits(),
        TextField("place", tr("Place"), tr("Where it lies in the drawer, such as C3.")),
        TextField("nominal", tr("Stamped thickness"), tr("A seal or bearing may do without."), "mm"),
        TextField("measured", tr("Measured thickness"), _places_help(), "mm"),
        TextField("count", tr("Pieces"), tr("How many of this size.")),
        TextField("level", tr("Order below"), tr("It stands on the order list with fewer than this; 0 is never.")),
        TextField("name", tr("Name"), tr("What a seal or bearing is called, with its size; a ring needs none.")),
    )


FIRST: Values = {"kind": "ring", "count": "1", "level": "0"}

ADD_READERS: Mapping[str, Reader] = {
    "place": lambda values: parse("text", values["place"]),
    "nominal": lambda values: _nominal(values),
    "measured": lambda values: places_mm(values["measured"], _size(values)) if values["measured"].strip() else None,
    "count": lambda values: whole_number(values["count"]),
    "level": lambda values: whole_number(values["level"]),
    "name": lambda values: parse("text", values["name"]) if values["kind"] in ("seal", "bearing") else None,
}


def add(workshop: Workshop, values: Values, person: str) -> Part:
    """Put what was typed into the drawer."""
    texts = (values[key] for key in ("kind", "name", "place", "nominal", "measured", "count", "level"))
    return workshop.add_part(*texts, gauge_id=_only_micrometer(workshop), person=person, fits=values["fits"])


def asks_where_it_fits(kind: str) -> bool:
    """Tell whether it is asked of a kind of piece where it fits: shims of the sides and of the pinion differ."""
    return kind == "shim"


def _fits() -> ChoiceField:
    return ChoiceField(
        "fits",
        tr("Fits"),
        [(where, tr(word)) for where, word in FITS_WORDS.items()],
        tr("Where its diameters fit; where that is not said, it is offered for sides and pinion."),
    )


def _nominal(values: Values) -> float | None:
    if values["nominal"].strip() or values["kind"] not in ("seal", "bearing"):
        return thickness_mm(values["nominal"])
    return None


def _size(values: Values) -> float | None:
    try:
        return _nominal(values)
    except UserError:
        return None


def _places_help() -> str:
    return tr("As the micrometer reads it at a few places, such as 2.516 2.518 2.517; may stay empty.")


def _only_micrometer(workshop: Workshop) -> int | None:
    there = [gauge.id for gauge in workshop.gauges() if gauge.use == "micrometer" and not gauge.is_retired]
    return there[0] if len(there) == 1 else None


# -- with a part that is there -----------------------------------------------------------------------------------------


def _pieces(label: str, help_text: str = "") -> TextField:
    return TextField("pieces", label, help_text)


def _why(help_text: str = "") -> TextField:
    return TextField("reason", tr("Why"), help_text)


def _measure_fields(workshop: Workshop, part: Part) -> tuple[Sequence[Field], Values]:
    gauges = [gauge for gauge in workshop.gauges() if gauge.use == "micrometer" and not gauge.is_retired]
    choices = [*((str(gauge.id), gauge.name) for gauge in gauges), (NONE, tr("none named"))]
    places = TextField(
        "places",
        tr("Thickness"),
        tr("At several places around it, such as 2.516 2.518 2.517; their mean counts."),
        "mm",
    )
    first = {"gauge": str(_only_micrometer(workshop) or NONE)}
    return (ChoiceField("gauge", tr("Measured with"), choices), places), first


def _measure(workshop: Workshop, part: Part, values: Values, person: str) -> Part:
    gauge_id = None if values["gauge"] == NONE else int(values["gauge"])
    return workshop.measure_part(part.id, values["places"], gauge_id=gauge_id, person=person)


def _change_fields(workshop: Workshop, part: Part) -> tuple[Sequence[Field], Values]:
    fields = (
        *([_fits()] if asks_where_it_fits(part.kind) else ()),
        TextField("place", tr("Place"), tr("Where it lies in the drawer.")),
        TextField("level", tr("Order below"), tr("It stands on the order list with fewer than this; 0 is never.")),
        TextField("name", tr("Name"), tr("What it is called.")),
    )
    first = {"place": part.place, "level": str(part.reorder_level), "name": part.name, "fits": part.fits}
    return fields, first


def _need_words(text: str) -> object:
    return parse("text", text)


def _need_pieces(text: str) -> int:
    pieces = whole_number(text)
    if not pieces:
        raise InputError(tr("Not one piece."), tr("Type how many."))
    return pieces


ACTS = (
    Act(
        "receive",
        mark("Receive"),
        mark("Receive them"),
        lambda workshop, part: (
            (_pieces(tr("Pieces that came in")), _why(tr("Where they came from; may stay empty."))),
            {},
        ),
        {"pieces": lambda values, part: _need_pieces(values["pieces"])},
        lambda workshop, part, values, person: workshop.receive(part.id, values["pieces"], values["reason"], person),
    ),
    Act(
        "measure",
        mark("Measure"),
        mark("Keep these measurements"),
        _measure_fields,
        {"places": lambda values, part: places_mm(values["places"], part.nominal_mm)},
        _measure,
    ),
    Act(
        "count",
        mark("Count"),
        mark("Set the count"),
        lambda workshop, part: (
            (
                _pieces(tr("Pieces counted"), tr("Free in the drawer; what a job holds is not counted.")),
                _why(tr("Such as stocktake. Only an owner sets a count.")),
            ),
            {},
        ),
        {
            "pieces": lambda values, part: whole_number(values["pieces"]),
            "reason": lambda values, part: _need_words(values["reason"]),
        },
        lambda workshop, part, values, person: workshop.count_part(
            part.id, values["pieces"], values["reason"], person, seen=part.version
        ),
    ),
    Act(
        "scrap",
        mark("Throw away"),
        mark("Throw them away"),
        lambda workshop, part: (
            (_pieces(tr("Pieces thrown away")), _why(tr("What is wrong with them. Only an owner writes off."))),
            {},
        ),
        {
            "pieces": lambda values, part: _need_pieces(values["pieces"]),
            "reason": lambda values, part: _need_words(values["reason"]),
        },
        lambda workshop, part, values, person: workshop.scrap(part.id, values["pieces"], values["reason"], person),
    ),
    Act(
        "change",
        mark("Change"),
        mark("Keep the change"),
        _change_fields,
        {
            "place": lambda values, part: _need_words(values["place"]),
            "level": lambda values, part: whole_number(values["level"]),
        },
        lambda workshop, part, values, person: workshop.change_part(
            part, values["name"], values["place"], values["level"], person, fits=values.get("fits")
        ),
    ),
    Act(
        "retire",
        mark("Keep no longer"),
        mark("Take it off the list"),
        lambda workshop, part: ((), {}),
        {},
        lambda workshop, part, values, person: workshop.retire_part(part.id, person),
    ),
)
"""What can be done with a part, in the order its buttons stand."""
