"""The drawer."""

from __future__ import annotations

from core.facts import Ring
from core.quantities import parse
from core.shop_inputs import thickness_mm, whole_number
from core.workshop.base import Base


class Drawer(Base):
    """What can be done with the drawer."""

    def rings(self) -> list[Ring]:
        """Return the drawer."""
        with self._logbook.look() as work:
            return work.rings()

    def add_ring(self, place_text: str, nominal_text: str, measured_text: str = "", count_text: str = "1") -> Ring:
        """Put a ring into the drawer, from what was typed."""
        with self._working("add_ring") as work:
            ring = work.add_ring(
                place=parse("text", place_text).text,
                nominal_mm=thickness_mm(nominal_text),
                measured_mm=thickness_mm(measured_text) if measured_text.strip() else None,
                count=whole_number(count_text),
            )
            work.commit()
        return ring
