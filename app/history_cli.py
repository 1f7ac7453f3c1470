"""``pinionbook history``: all visits of a unit as text."""

from __future__ import annotations

import argparse
from typing import Any

from core.history_words import history_lines
from core.language import tr
from core.records import open_logbook
from core.workshop import Workshop

DONE = 0


def add_to(commands: Any) -> None:
    """Add the command to the command line."""
    history = commands.add_parser("history", help=tr("print everything a unit's serial number ever had"))
    history.add_argument("serial", metavar="SERIAL", help=tr("serial number of the unit, however it is spelt"))
    history.set_defaults(command=_history)


def _history(options: argparse.Namespace) -> int:
    with open_logbook(options.logbook) as logbook:
        workshop = Workshop(logbook)
        for line in history_lines(workshop.unit_history(options.serial), workshop.shop().units):
            print(line)
    return DONE
