"""The order in which the Tab key goes over the bench: as the eye does."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtWidgets import QWidget

from app.bench.gauges import GaugeLine
from app.bench.header import Header
from app.bench.stage_bar import StageBar
from app.bench.stage_page import StagePage


def set_tab_order(
    header: Header,
    stages: StageBar,
    page: StagePage,
    beside: Sequence[QWidget],
    gauges: GaugeLine,
    instead: Sequence[QWidget] = (),
) -> None:
    """Let the Tab key go from the header over the stage that is shown to the gauges.

    `beside` stand under the stage's advice, `instead` in the place of the whole stage.
    """
    chain: list[QWidget] = [header.back, header.unit, header.details_button]
    chain += [widget for field in header.details.fields for widget in field.focusables()]
    chain += stages.buttons.values()
    chain += [*page.column.focusables(), *page.end.focusables(), *page.aside.advice.focusables(), *beside]
    chain += [*page.aside.photos.focusables(), page.aside.cautions.toggle, *gauges.focusables(), *instead]
    for one, following in pairwise(chain):
        QWidget.setTabOrder(one, following)
