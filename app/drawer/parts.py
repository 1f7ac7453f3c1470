"""The drawer: rings, shims, spacers, seals and bearings."""

from __future__ import annotations

from collections.abc import Sequence

from app.drawer.section import Line, Shelf, cell_columns
from app.jobs.form import Field, TextField
from core.language import mark, tr
from core.quantities import parse, show, unit_for
from core.shop_inputs import places_mm, thickness_mm, whole_number
from core.workshop import Workshop


def _rings(workshop: Workshop) -> list[Line]:
    unit = unit_for("length", workshop.shop().units).id
    parts = [part for part in workshop.parts() if part.thickness_mm is not None]
    return [
        Line(
            part.id,
            (
                part.place,
                show("length", part.nominal_mm or 0.0, unit),
                show("length", part.thickness_mm or 0.0, unit) if part.measured_mm else "",
                str(part.count),
            ),
        )
        for part in sorted(parts, key=lambda part: (part.thickness_mm, part.place))
    ]


def _ring_fields() -> Sequence[Field]:
    return (
        TextField("place", tr("Place"), tr("Where it lies in the drawer, such as C3.")),
        TextField("nominal", tr("Nominal thickness"), tr("As stamped."), "mm"),
        TextField("measured", tr("Measured thickness"), tr("As your micrometer reads it; may stay empty."), "mm"),
        TextField("count", tr("Pieces"), tr("How many of this thickness.")),
    )


RINGS = Shelf(
    mark("Rings in the drawer"),
    mark("The drawer is empty. Advice can only name rings that are listed here."),
    cell_columns((mark("Place"), False), (mark("Nominal"), True), (mark("Measured"), True), (mark("Pieces"), True)),
    _rings,
    mark("Add a ring"),
    mark("Add ring"),
    _ring_fields,
    {
        "place": lambda values: parse("text", values["place"]),
        "nominal": lambda values: thickness_mm(values["nominal"]),
        "measured": lambda values: places_mm(values["measured"]) if values["measured"].strip() else None,
        "count": lambda values: whole_number(values["count"]),
    },
    lambda workshop, values: workshop.add_part(
        "ring", "", values["place"], values["nominal"], values["measured"], values["count"]
    ),
    {"count": "1"},
)
