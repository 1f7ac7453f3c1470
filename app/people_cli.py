"""``pinionbook forget-pin``: the way back in for the only owner, who lost the PIN."""

from __future__ import annotations

import argparse
from typing import Any

from core.language import tr
from core.records import open_logbook
from core.workshop import Workshop

DONE = 0


def add_to(commands: Any) -> None:
    """Add the command to the command line."""
    forget = commands.add_parser("forget-pin", help=tr("take away the PIN of the only owner, when it is lost"))
    forget.add_argument("name", metavar="NAME", help=tr("the owner's name"))
    forget.set_defaults(command=_forget)


def _forget(options: argparse.Namespace) -> int:
    with open_logbook(options.logbook) as logbook:
        owner = Workshop(logbook).forget_pin(options.name)
    print(tr("{name} has no PIN now; set a new one on the shop page, under People.", name=owner.name))
    return DONE
