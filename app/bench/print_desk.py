"""From a photo of the contact stage to the print that is read from it, and back."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QWidget

from app.bench.photo_desk import AtTheBench, PhotoDesk, Run
from app.bench.print_view import PrintView
from core.errors import UserError
from core.facts import Photo
from core.language import tr
from core.mechanics.outline import Point
from core.stages.contact_pattern import KEY
from core.stages.prints import OUTLINE
from core.stages.state import JobState
from core.stages.tooth import COAST, DRIVE, tooth_of
from core.workshop import Workshop
from core.workshop.photo_prints import PhotoPrint

Answer = PhotoPrint | Exception
"""What was read, or why nothing was."""


class PrintDesk(QObject):
    """Opens the view over a photo that is seen large; it is read off the window's thread.

    Signals
    -------
    kept(trial, entry)
        A print was kept as this entry of a trial; the job has changed.
    """

    kept = Signal(int, str)

    def __init__(
        self,
        page: QWidget,
        workshop: Workshop,
        settings: AtTheBench,
        run: Run,
        photos: PhotoDesk,
        settle: Callable[[], object],
    ) -> None:
        super().__init__(page)
        self._workshop, self._settings, self._run = workshop, settings, run
        self._photos, self._settle = photos, settle
        self._state: JobState | None = None
        self._photo: Photo | None = None
        self._trial, self._seen = 1, {DRIVE: 0, COAST: 0}
        self._asked = 0
        self.is_reading = False
        self.view = PrintView(page)
        self.view.closed.connect(self.close_view)
        self.view.read_wanted.connect(self._read)
        self.view.keep_wanted.connect(self._keep)
        photos.print_wanted.connect(self.open_view)
        photos.view_changed.connect(self._follow_photo)

    def show_stage(self, state: JobState) -> None:
        """Follow the job that is shown."""
        self._state = state

    def leave(self) -> None:
        """Forget the job that was shown."""
        self._hide()
        self._state = None

    def open_view(self, photo: Photo, picture: QPixmap, name: str) -> None:
        """Show a photo of the contact stage, to be read."""
        if self._state is None:
            return
        # What stands typed is stored first: it must be seen before a print takes its place.
        self._settle()
        context = self._workshop.state(self._state.context.job.id).context
        self._photo = photo
        self._trial = photo.trial or self._state.stage(KEY).trials[-1].number
        for side in self._seen:
            standing = context.reading(KEY, side + OUTLINE, trial=self._trial)
            self._seen[side] = 0 if standing is None else standing.id
        side = next((side for side in (DRIVE, COAST) if photo.entry.startswith(side)), "")
        self._photos.view.hide()
        self.view.show()
        self.view.show_photo(picture, name, tooth_of(context.job), side, self._trial)

    def close_view(self) -> None:
        """Go back to the photo; what is being read is dropped."""
        if self._photo is not None:
            self._hide()
            self._photos.view.show()
            self._photos.view.read.setFocus(Qt.FocusReason.OtherFocusReason)

    def _hide(self) -> None:
        self._photo = None
        self._forget_asked()
        self.view.hide()

    def _follow_photo(self, is_seen: bool) -> None:
        """Go with the photo: the page may turn to another stage."""
        if not is_seen:
            self._hide()

    def _forget_asked(self) -> None:
        self._asked += 1
        self.is_reading = False

    def _read(self) -> None:
        if self._photo is None or self.is_reading:
            return
        self._forget_asked()
        self.is_reading = True
        self.view.await_answer()
        work = partial(_answer, self._workshop, self._photo.id, tuple(self.view.picture.corners))
        self._run(work, partial(self._answered, self._asked))

    def _answered(self, asked: int, answer: Answer) -> None:
        if asked == self._asked:
            self.is_reading = False
            if isinstance(answer, PhotoPrint):
                self.view.show_found(answer)
                return
            self.view.mark_again()
            if isinstance(answer, UserError):
                self.view.refuse(str(answer))
        if isinstance(answer, Exception) and not isinstance(answer, UserError):
            raise answer

    def _keep(self) -> None:
        found, side = self.view.found, self.view.side
        if found is None or self._state is None:
            return
        if not side:
            self.view.refuse(tr("Say which side of the tooth this is: choose drive or coast."))
            self.view.sides[DRIVE].setFocus(Qt.FocusReason.OtherFocusReason)
            return
        job_id, person = self._state.context.job.id, self._settings.person
        try:
            self._workshop.keep_print(job_id, side, self._trial, found, person=person, seen=self._seen[side])
        except UserError as error:
            self.view.refuse(str(error))
            return
        self._photos.close_view()
        self.kept.emit(self._trial, side + OUTLINE)


def _answer(workshop: Workshop, photo_id: int, corners: tuple[Point, ...]) -> Answer:
    """Return what a photo says; a fault comes back too, so that the next one can be read."""
    try:
        return workshop.read_print(photo_id, corners)
    except Exception as error:
        return error
