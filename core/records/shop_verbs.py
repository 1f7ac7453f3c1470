"""The shop itself: name, people, gauges, and the drawer of rings."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from sqlalchemy import Column, Row, Table, insert, select, update

from core.errors import InputError, RuleError
from core.facts import Gauge, Person, Ring, Shop
from core.language import tr
from core.records import tables
from core.records.texts import LONGEST_KEY, fold, line, note, number, whole
from core.records.unit_of_work import UnitOfWork

UNIT_SYSTEMS = ("metric", "inch")
ROLES = ("bench", "owner")
THICKEST_MM = 100.0
LARGEST_ERROR = 1e6
MOST_RINGS = 9999
MOST_MONTHS = 1200


class ShopVerbs(UnitOfWork):
    """What can be done with the shop's own belongings."""

    def shop(self) -> Shop:
        """Return name, address and units of the shop; empty until they were put."""
        row = self._row(select(tables.shop))
        return Shop() if row is None else Shop(row.name, row.address, row.units)

    def put_shop(self, shop: Shop) -> None:
        """Keep name, address and units of the shop."""
        values = {
            "name": line(shop.name, tr("The name of the shop")),
            "address": note(shop.address, tr("The address of the shop")),
            "units": _one_of(shop.units, UNIT_SYSTEMS, tr("The units of the shop")),
        }
        if self._row(select(tables.shop.c.id)) is None:
            self._insert(insert(tables.shop).values(id=1, **values))
        else:
            self._update(update(tables.shop).values(**values))

    def people(self) -> list[Person]:
        """Return everybody who may measure or sign, in the order they were added."""
        rows = self._rows(select(tables.person).order_by(tables.person.c.id))
        return [Person(row.id, row.name, row.role) for row in rows]

    def add_person(self, name: str, role: str = "bench") -> Person:
        """Add somebody.

        Raises
        ------
        RuleError
            Somebody of that name is there already; a signature must say who signed.
        """
        name = line(name, tr("The name"), is_needed=True)
        role = _one_of(role, ROLES, tr("The role"))
        self._need_new(tables.person, tables.person.c.name_key, name)
        added = self._insert(insert(tables.person).values(name=name, name_key=fold(name), role=role))
        return Person(added, name, role)

    def gauges(self) -> list[Gauge]:
        """Return the gauges, in the order they were added."""
        return [_gauge(row) for row in self._rows(select(tables.gauge).order_by(tables.gauge.c.id))]

    def add_gauge(
        self,
        name: str,
        use: str,
        kind: str,
        resolution: float,
        stated_error: float,
        calibrated_on: date | None = None,
        interval_months: int | None = None,
    ) -> Gauge:
        """Add a gauge; resolution and stated error (±) in the canonical unit of `kind`.

        Raises
        ------
        RuleError
            A gauge of that name is there already; a reading must say which one was used.
        InputError
            An error below nothing, or a calibration in the future.
        """
        # East of Greenwich it is tomorrow already.
        if calibrated_on is not None and calibrated_on > self._clock().date() + timedelta(days=1):
            raise InputError(
                tr("The calibration on {day} lies in the future.", day=calibrated_on.isoformat()),
                tr("Check the date."),
            )
        if interval_months is not None:
            whole(interval_months, tr("The interval in months"), 1, MOST_MONTHS)
        values = {
            "name": line(name, tr("The name of the gauge"), is_needed=True),
            "use": line(use, tr("The use of the gauge"), LONGEST_KEY, is_needed=True),
            "kind": line(kind, tr("The kind of the gauge"), LONGEST_KEY, is_needed=True),
            "resolution": number(resolution, tr("The resolution"), 0.0, LARGEST_ERROR),
            "stated_error": number(stated_error, tr("The stated error"), 0.0, LARGEST_ERROR),
            "calibrated_on": None if calibrated_on is None else calibrated_on.isoformat(),
            "interval_months": interval_months,
        }
        name = str(values["name"])
        self._need_new(tables.gauge, tables.gauge.c.name_key, name)
        added = self._insert(insert(tables.gauge).values(name_key=fold(name), **values))
        return next(gauge for gauge in self.gauges() if gauge.id == added)

    def rings(self) -> list[Ring]:
        """Return the drawer, thinnest first."""
        ring = tables.ring
        rows = self._rows(
            select(ring, ring.c.count.label("pieces")).order_by(ring.c.nominal_mm, ring.c.measured_mm, ring.c.id)
        )
        return [Ring(row.id, row.place, row.nominal_mm, row.measured_mm, row.pieces) for row in rows]

    def add_ring(self, place: str, nominal_mm: float, measured_mm: float | None = None, count: int = 1) -> Ring:
        """Put rings of one thickness [mm] into the drawer."""
        thinnest_mm = 0.001
        number(nominal_mm, tr("The thickness in mm"), thinnest_mm, THICKEST_MM)
        if measured_mm is not None:
            number(measured_mm, tr("The measured thickness in mm"), thinnest_mm, THICKEST_MM)
        whole(count, tr("The number of rings"), 0, MOST_RINGS)
        place = line(place, tr("The place in the drawer"))
        added = self._insert(
            insert(tables.ring).values(place=place, nominal_mm=nominal_mm, measured_mm=measured_mm, count=count)
        )
        return Ring(added, place, nominal_mm, measured_mm, count)

    def _need_new(self, table: Table, key: Column[Any], name: str) -> None:
        if self._row(select(table.c.id).where(key == fold(name))) is not None:
            raise RuleError(
                tr("The name {name} is taken already.", name=name),
                tr("Choose another name, so that they can be told apart."),
            )


def _one_of(value: str, allowed: tuple[str, ...], what: str) -> str:
    if value not in allowed:
        raise InputError(
            tr("{what}: {value!r} is not one of the choices.", what=what, value=value[:40]),
            tr("Choose one of {choices}.", choices=", ".join(allowed)),
        )
    return value


def _gauge(row: Row[Any]) -> Gauge:
    return Gauge(
        row.id,
        row.name,
        row.use,
        row.kind,
        row.resolution,
        row.stated_error,
        None if row.calibrated_on is None else date.fromisoformat(row.calibrated_on),
        row.interval_months,
    )
