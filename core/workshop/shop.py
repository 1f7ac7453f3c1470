"""The shop itself."""

from __future__ import annotations

from core.facts import Shop
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
