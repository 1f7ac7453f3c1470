"""The build sheet as a PDF, and the figures it shares with the window; the only package that knows reportlab."""

from core.sheet.sheet import write_sheet

__all__ = ["write_sheet"]
