"""The shop itself."""

from __future__ import annotations

from core.facts import Shop, ShopRules
from core.quantities import parse
from core.shop_inputs import words
from core.workshop.base import Base


class ShopKeeping(Base):
    """What can be done with the shop itself."""

    def shop(self) -> Shop:
        """Return the shop's name, address and units."""
        with self._logbook.look() as work:
            return work.shop()

    def save_shop(self, shop: Shop) -> None:
        """Keep the shop's name, address and units."""
        with self._working("save_shop") as work:
            work.put_shop(Shop(words(shop.name), words(shop.address), shop.units), seen=shop.version or None)
            work.commit()

    def rules(self) -> ShopRules:
        """Return what the owner settled, as it is in force now."""
        with self._logbook.look() as work:
            return work.rules()

    def save_rules(self, overdue: str, factor_text: str, person: str) -> ShopRules:
        """Settle what an overdue gauge does to a verdict, from now on; signed jobs keep the rules of their signing.

        Raises
        ------
        AccessError
            The person is no owner.
        InputError
            A rule that is none of the choices, or a factor that cannot be.
        """
        with self._working("save_rules", person) as work:
            work.need_owner(person)
            rules = ShopRules(overdue, parse("ratio", factor_text, "one").value or 0.0)
            work.put_rules(rules, person, self._clock())
            work.commit()
        return rules
