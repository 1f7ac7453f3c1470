"""The logbook: the only package that knows the database. Frozen facts go in and come out."""

from core.records.location import default_file, default_location
from core.records.logbook import Logbook, open_logbook
from core.records.watch import Changes, Watch
from core.records.work import Work

__all__ = ["Changes", "Logbook", "Watch", "Work", "default_file", "default_location", "open_logbook"]
