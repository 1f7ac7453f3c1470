"""The gauges."""

from __future__ import annotations

from core.facts import Gauge
from core.quantities import parse
from core.shop_inputs import GAUGE_KINDS, gauge_error, past_day, whole_number
from core.workshop.base import Base


class Gauges(Base):
    """What can be done with gauges."""

    def gauges(self) -> list[Gauge]:
        """Return the gauges of the shop."""
        with self._logbook.look() as work:
            return work.gauges()

    def add_gauge(
        self,
        name_text: str,
        use: str,
        resolution_text: str,
        error_text: str,
        calibrated_text: str = "",
        interval_text: str = "",
    ) -> Gauge:
        """Add a gauge from what was typed; resolution and stated error carry the unit of what the gauge reads."""
        with self._working("add_gauge") as work:
            gauge = work.add_gauge(
                name=parse("text", name_text).text,
                use=use,
                kind=GAUGE_KINDS[use][0],
                resolution=gauge_error(use, resolution_text),
                stated_error=gauge_error(use, error_text),
                calibrated_on=past_day(calibrated_text, self._clock().date()),
                interval_months=whole_number(interval_text) if interval_text.strip() else None,
            )
            work.commit()
        return gauge
