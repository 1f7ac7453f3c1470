"""Figures, drawn once: the sheet embeds them, the window shows them as SVG."""

from core.sheet.figures.advice import advice_plot
from core.sheet.figures.control_chart import family_chart_figure
from core.sheet.figures.draw import NothingYet, as_svg
from core.sheet.figures.gather import FIGURES, SIZES, contact_of_trial, figure
from core.sheet.figures.marks import verdict_mark
from core.sheet.figures.palette import PRINT_PALETTE, Palette

__all__ = [
    "FIGURES",
    "PRINT_PALETTE",
    "SIZES",
    "NothingYet",
    "Palette",
    "advice_plot",
    "as_svg",
    "contact_of_trial",
    "family_chart_figure",
    "figure",
    "verdict_mark",
]
