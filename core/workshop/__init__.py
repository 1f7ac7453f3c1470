"""Everything a person can do, head-less.

The window, the command line and the stories in the tests all go through `Workshop`; what was typed comes in, frozen
facts and judged states go out. Each verb is one unit of work: when it returns, the logbook has it for good. One file a
subject.
"""

from core.records import Changes
from core.workshop.backups import Backups
from core.workshop.base import utc_now
from core.workshop.bench import Bench
from core.workshop.cards import Cards
from core.workshop.checking import Checking
from core.workshop.exchange import Exchange
from core.workshop.fitting import Fitting
from core.workshop.gauges import Gauges
from core.workshop.history import Histories
from core.workshop.jobs import FoundJobs, JobRow, Jobs
from core.workshop.overview import Overviews
from core.workshop.paper import Paper
from core.workshop.people import People
from core.workshop.photo_prints import PhotoPrints
from core.workshop.photos import Photos
from core.workshop.shop import ShopKeeping
from core.workshop.taught import Teaching
from core.workshop.ticket import Tickets
from core.workshop.what_if import WhatIfs

__all__ = ["Changes", "FoundJobs", "JobRow", "Workshop", "utc_now"]


class Workshop(
    Backups,
    Checking,
    ShopKeeping,
    People,
    Gauges,
    Fitting,
    Cards,
    Jobs,
    Histories,
    PhotoPrints,
    Bench,
    Photos,
    Overviews,
    Teaching,
    Paper,
    Tickets,
    WhatIfs,
    Exchange,
):
    """What can be done with one logbook."""
