"""The build sheet and the bench ticket as PDF, and the figures; the only package that knows reportlab."""

from core.sheet.seal import Seal, fingerprint_in, seal
from core.sheet.sheet import put_sheet, sheet_bytes, write_sheet
from core.sheet.ticket import Ticket, UnderPinion, ticket_bytes

__all__ = [
    "Seal",
    "Ticket",
    "UnderPinion",
    "fingerprint_in",
    "put_sheet",
    "seal",
    "sheet_bytes",
    "ticket_bytes",
    "write_sheet",
]
