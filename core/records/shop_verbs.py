"""The shop itself: its name, and what the owner settled."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select

from core.errors import InputError
from core.facts import Shop, ShopRules
from core.gauges import OVERDUE_RULES
from core.language import tr
from core.records import tables
from core.records.texts import line, note, number, to_time_text
from core.records.unit_of_work import UnitOfWork

UNIT_SYSTEMS = ("metric", "inch")
LARGEST_FACTOR = 10.0


class ShopVerbs(UnitOfWork):
    """What can be done with the shop's own name and rules."""

    def shop(self) -> Shop:
        """Return name, address and units of the shop; empty until they were put."""
        row = self._row(select(tables.shop))
        return Shop() if row is None else Shop(row.name, row.address, row.units, row.version)

    def put_shop(self, shop: Shop, *, seen: int | None = None) -> None:
        """Keep name, address and units of the shop.

        Raises
        ------
        ConflictError
            It is no longer the version `seen`.
        """
        values = {
            "name": line(shop.name, tr("The name of the shop")),
            "address": note(shop.address, tr("The address of the shop")),
            "units": one_of(shop.units, UNIT_SYSTEMS, tr("The units of the shop")),
        }
        if self._row(select(tables.shop.c.id)) is None:
            self._add(tables.shop, id=1, **values)
        else:
            self._change(tables.shop, 1, seen=seen, **values)

    def rules(self, at: datetime | None = None) -> ShopRules:
        """Return what the owner had settled at a moment (default: now)."""
        rule = tables.shop_rule
        query = select(rule.c.key, rule.c.value).order_by(rule.c.id)
        if at is not None:
            query = query.where(rule.c.at <= to_time_text(at, at))
        found = {row.key: row.value for row in self._rows(query)}
        usual = ShopRules()
        return ShopRules(
            overdue=found.get("overdue", usual.overdue),
            overdue_factor=float(found.get("overdue_factor", usual.overdue_factor)),
        )

    def put_rules(self, rules: ShopRules, by: str, at: datetime) -> None:
        """Settle the rules from a moment on; what was in force before stays known.

        Raises
        ------
        InputError
            A rule that is none of the choices, or a factor that cannot be.
        """
        values = {
            "overdue": one_of(rules.overdue, tuple(OVERDUE_RULES), tr("What an overdue gauge does")),
            "overdue_factor": repr(number(rules.overdue_factor, tr("The factor"), 1.0, LARGEST_FACTOR)),
        }
        now = self.rules()
        for key, value in values.items():
            if value != str(getattr(now, key)):
                self._add(
                    tables.shop_rule,
                    key=key,
                    value=value,
                    at=to_time_text(at, self._clock()),
                    person=line(by, tr("The name")),
                )


def one_of(value: str, allowed: tuple[str, ...], what: str) -> str:
    """Return a word that is one of those allowed."""
    if value not in allowed:
        raise InputError(
            tr("{what}: {value!r} is not one of the choices.", what=what, value=value[:40]),
            tr("Choose one of {choices}.", choices=", ".join(allowed)),
        )
    return value
