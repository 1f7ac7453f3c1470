"""The build sheet as a PDF, and the figures it shares with the window; the only package that knows reportlab."""

from core.sheet.seal import Seal, fingerprint_in, seal
from core.sheet.sheet import put_sheet, sheet_bytes, write_sheet

__all__ = ["Seal", "fingerprint_in", "put_sheet", "seal", "sheet_bytes", "write_sheet"]
