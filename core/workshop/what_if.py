"""Where the prints would go if the gears were moved."""

from __future__ import annotations

from dataclasses import replace

from core.advice.what_if import WhatIf, what_if
from core.errors import RangeError
from core.language import tr
from core.workshop.base import context_of
from core.workshop.holding import drawer_for
from core.workshop.scatters import Scatters


class WhatIfs(Scatters):
    """What can be asked of the contact before anything is moved; nothing is written by it."""

    def what_if(self, job_id: int) -> tuple[WhatIf | None, str]:
        """Return a job's contact, ready to be asked for any setting; or None, and why in one sentence.

        Before both flanks of a trial have a centre, it rests on the card alone.
        """
        with self._logbook.look() as work:
            context = context_of(work, job_id)
            known = replace(drawer_for(work, job_id), scatter=self._scatter(work, job_id))
        try:
            return what_if(context, known), ""
        except RangeError as error:
            return None, tr("The sizes on the card fit no set of gears: {why}", why=str(error))
