"""From a photo to the print that is read from it, on one tooth or several, and back."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QWidget

from app.bench.photo_desk import AtTheBench, PhotoDesk, Run
from app.bench.photos import photo_name
from app.bench.print_view import PrintView
from core.errors import UserError
from core.facts import Photo
from core.language import tr
from core.mechanics.outline import Point
from core.stages import stage as stage_named
from core.stages.contact_pattern import KEY
from core.stages.state import JobState
from core.stages.tooth import COAST, DRIVE, tooth_of
from core.workshop import Workshop
from core.workshop.photo_prints import PhotoPrint, TeethRead, flank_shown, others_to_read, outline_key, together

Answer = TeethRead | Exception
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
        self._trial, self._seen = 0, {DRIVE: 0, COAST: 0}
        self._asked = 0
        self.is_reading = False
        self.view = PrintView(page)
        self.view.closed.connect(self.close_view)
        self.view.read_wanted.connect(self._read)
        self.view.keep_wanted.connect(self._keep)
        self.view.further_wanted.connect(self._go_further)
        self.view.other_wanted.connect(self._turn_over)
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
        """Show a photo of a stage that asks for a contact print, to be read."""
        if self._state is None:
            return
        # What stands typed is stored first: it must be seen before a print takes its place.
        self._settle()
        context = self._workshop.state(self._state.context.job.id).context
        self._photo = photo
        self._trial = (photo.trial or self._state.stage(KEY).trials[-1].number) if photo.stage == KEY else 0
        for side in self._seen:
            standing = context.reading(photo.stage, outline_key(photo.stage, side), trial=self._trial)
            self._seen[side] = 0 if standing is None else standing.id
        self._photos.view.hide()
        self.view.show()
        self.view.show_tooth(tooth_of(context.job), flank_shown(photo), self._trial)
        self.view.show_photo(picture, name, has_others=len(self._onward(photo)) > 1)

    # -- further teeth -------------------------------------------------------------------------------------------

    def _onward(self, photo: Photo) -> list[Photo]:
        """Return the photos that may show the same flank in this trial, in the order they come, this one last."""
        photos = others_to_read(self._workshop.photos(photo.job_id), photo, self._trial, self.view.side)
        after = [each.id for each in photos].index(photo.id) + 1
        return [*photos[after:], *photos[:after]]

    def _go_further(self) -> None:
        """Turn to the next photo nothing was read from yet; where there is none, to another tooth of this one."""
        if self._photo is None or self.view.found is None:
            return
        self.view.go_further()
        read = {tooth.photo.id for tooth in self.view.found.teeth}
        self._show(next((photo for photo in self._onward(self._photo) if photo.id not in read), self._photo))

    def _turn_over(self) -> None:
        if self._photo is not None:
            self._show(self._onward(self._photo)[0])

    def _show(self, photo: Photo) -> None:
        self._forget_asked()
        self._photo = photo
        picture = QPixmap()
        picture.loadFromData(self._workshop.photo_image(photo.id))
        numbered = [each.id for each in self._workshop.photos(photo.job_id) if each.stage == photo.stage]
        name = photo_name(photo, numbered.index(photo.id) + 1, tr(stage_named(photo.stage).label))
        self.view.show_photo(picture, name, has_others=len(self._onward(photo)) > 1)

    # -- going back ----------------------------------------------------------------------------------------------

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
        before = self.view.so_far.teeth if self.view.so_far else ()
        work = partial(_answer, self._workshop, self._photo.id, tuple(self.view.picture.corners), before)
        self._run(work, partial(self._answered, self._asked))

    def _answered(self, asked: int, answer: Answer) -> None:
        if asked == self._asked:
            self.is_reading = False
            if isinstance(answer, TeethRead):
                self.view.show_found(answer)
                return
            self.view.mark_again()
            if isinstance(answer, UserError):
                self.view.refuse(str(answer))
        if isinstance(answer, Exception) and not isinstance(answer, UserError):
            raise answer

    def _keep(self) -> None:
        found, side = self.view.found or self.view.so_far, self.view.side
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
        entry = outline_key(found.teeth[0].photo.stage, side)
        self._photos.close_view()
        self.kept.emit(self._trial, entry)


def _answer(workshop: Workshop, photo_id: int, corners: tuple[Point, ...], before: tuple[PhotoPrint, ...]) -> Answer:
    """Return what a photo says, with the teeth read before; a fault comes back too, so that the next can be read."""
    try:
        return together((*before, workshop.read_print(photo_id, corners)))
    except Exception as error:
        return error
