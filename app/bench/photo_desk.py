"""Photos at the bench: taken from files, drops and the clipboard, made small off the window's thread, seen large.

Each file is bound to the place that was shown when it came in, and is a task of its own: what is refused is named, the
others are kept. What still waits when the window is closed counts as not saved.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QDropEvent, QGuiApplication, QImage, QKeyEvent, QKeySequence, QPixmap
from PySide6.QtWidgets import QFileDialog, QWidget

from app.bench.photo_view import PhotoView
from app.bench.photos import PhotoPane, photo_name
from app.widgets.entry_field import EntryField
from app.widgets.pictures import are_pictures, as_png, pictures_in
from app.widgets.wording import field_name
from core.errors import UserError
from core.facts import Job, Photo
from core.language import tr
from core.stages.entry import Stage
from core.workshop import Workshop
from core.workshop.photo_prints import is_readable

FILTER = "*.jpg *.jpeg *.png *.webp *.gif *.bmp"

Run = Callable[..., object]


class AtTheBench(Protocol):
    """What is asked of the bench's settings."""

    person: str


@dataclass(frozen=True)
class Wanted:
    """A picture that is to become a photo, and where it belongs."""

    source: Path | QImage
    job: Job
    place: dict[str, Any]
    caption: str
    person: str

    @property
    def name(self) -> str:
        """What a person calls it."""
        return self.source.name if isinstance(self.source, Path) else tr("The pasted picture")


@dataclass(frozen=True)
class Kept:
    """What became of one: kept, refused with a sentence, or lost to a fault of the program."""

    wanted: Wanted
    refusal: str = ""
    fault: Exception | None = None


def at_once(work: Callable[[], Kept], done: Callable[[Kept], None]) -> None:
    """Do the work here and now: for a page without a window around it."""
    done(work())


class PhotoDesk(QObject):
    """Everything the bench does with photos; the page only says what it shows.

    Signals
    -------
    view_changed(is_open)
        A photo is seen large in the place of the stage, or no more.
    print_wanted(photo, picture, name)
        The print is to be read from the photo that is seen.
    """

    view_changed = Signal(bool)
    print_wanted = Signal(object, object, str)

    def __init__(self, page: QWidget, workshop: Workshop, settings: AtTheBench, run: Run = at_once) -> None:
        super().__init__(page)
        self._page, self._workshop, self._settings, self._run = page, workshop, settings, run
        self._job: Job | None = None
        self._stage: Stage | None = None
        self._pane: PhotoPane | None = None
        self._field: EntryField | None = None
        self._photos: list[Photo] = []
        self._pictures: dict[int, QPixmap] = {}
        self._waiting: deque[Wanted] = deque()
        self._at_work: Wanted | None = None
        self._refusals: list[str] = []
        self._folder = ""
        self._seen: int | None = None
        self.view = PhotoView(page)
        self.view.closed.connect(self.close_view)
        self.view.step_wanted.connect(self._step)
        self.view.strike_wanted.connect(self._strike)
        self.view.print_wanted.connect(self._want_print)
        page.setAcceptDrops(True)
        page.installEventFilter(self)

    # -- what the page shows -------------------------------------------------------------------------------------

    def adopt(self, pane: PhotoPane) -> None:
        """Listen to the photos of a stage whose page was just made."""
        pane.add_wanted.connect(self._choose)
        pane.photo_wanted.connect(self._open_view)

    def show_stage(self, job: Job, stage: Stage, pane: PhotoPane) -> None:
        """Show the photos of a stage."""
        if pane is not self._pane:
            self._refusals = []
        self._job, self._stage, self._pane = job, stage, pane
        self._photos = [photo for photo in self._workshop.photos(job.id) if photo.stage == stage.key]
        unknown = [photo.id for photo in self._photos if photo.id not in self._pictures]
        for photo_id, jpeg in (self._workshop.thumbnails(unknown) if unknown else {}).items():
            self._pictures[photo_id] = _pixmap(jpeg)
        pane.arm(self._field)
        pane.show_photos(self._photos, self._pictures, is_read_only=job.signed_at is not None)
        self._say()

    def leave(self) -> None:
        """Let go of what was shown; what still waits is kept where it belongs."""
        self.close_view()
        self._job = self._stage = self._pane = self._field = None
        self._pictures.clear()
        self._refusals = []

    def arm(self, field: EntryField) -> None:
        """Say which field is armed."""
        self._field = field
        # Turning to another stage arms its field a moment before its photos are shown.
        if self._pane is not None and self._stage is not None and field.entry in self._stage.entries:
            self._pane.arm(field)

    def unsaved(self) -> list[str]:
        """Return what still waits to be kept, in words."""
        at_work = [] if self._at_work is None else [self._at_work]
        return [tr("photo {name}", name=wanted.name) for wanted in (*at_work, *self._waiting)]

    # -- coming in -----------------------------------------------------------------------------------------------

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        # Entering and moving are drop events too; a page that takes nothing shows it by the pointer.
        if isinstance(event, QDropEvent):
            self._take_drop(event)
            return True
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            return event.matches(QKeySequence.StandardKey.Paste) and self._take_paste()
        return False

    def _take_drop(self, event: QDropEvent) -> None:
        if not self._may_add or not are_pictures(event.mimeData()):
            event.ignore()
            return
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()
        if event.type() == QEvent.Type.Drop:
            self.add(pictures_in(event.mimeData()))

    def _take_paste(self) -> bool:
        mime = QGuiApplication.clipboard().mimeData()
        if not self._may_add or not are_pictures(mime):
            return False
        self.add(pictures_in(mime))
        return True

    @property
    def _may_add(self) -> bool:
        return self._pane is not None and self._job is not None and self._job.signed_at is None

    def _choose(self) -> None:
        files = self._ask_for_files()
        if files:
            self._folder = str(files[0].parent)
            self.add(files)

    def _ask_for_files(self) -> list[Path]:
        kinds = f"{tr('Pictures')} ({FILTER} {FILTER.upper()});;{tr('All files')} (*)"
        chosen, _ = QFileDialog.getOpenFileNames(self._page, tr("Add photos"), self._folder, kinds)
        return [Path(name) for name in chosen]

    def add(self, sources: list[Path] | list[Path | QImage]) -> None:
        """Keep pictures as photos of what is shown, one after the other."""
        if self._job is None or self._stage is None or self._pane is None:
            return
        self._refusals = []
        place: dict[str, Any] = {"stage": self._stage.key}
        if self._pane.of_field.isChecked() and self._pane.field is not None:
            entry, position, trial = self._pane.field.key
            place |= {"entry": entry, "position": position, "trial": trial}
        caption = self._pane.caption.text()
        for source in sources:
            self._waiting.append(Wanted(source, self._job, place, caption, self._settings.person))
        self._next()

    def _next(self) -> None:
        if self._at_work is None and self._waiting:
            wanted = self._at_work = self._waiting.popleft()
            self._say()
            self._run(lambda: self._keep(wanted), self._done)
        else:
            self._say()

    def _keep(self, wanted: Wanted) -> Kept:
        """Keep one photo; runs off the window's thread."""
        try:
            source = as_png(wanted.source) if isinstance(wanted.source, QImage) else wanted.source
            self._workshop.add_photo(
                wanted.job.id, source, caption=wanted.caption, person=wanted.person, **wanted.place
            )
        except UserError as error:
            return Kept(wanted, str(error))
        except Exception as error:  # told on the window's thread, once the others have had their turn
            return Kept(wanted, fault=error)
        return Kept(wanted)

    def _done(self, kept: Kept) -> None:
        self._at_work = None
        if kept.refusal:
            self._refusals.append(self._told(kept))
        elif kept.fault is None:
            self._show_kept(kept.wanted)
        # Not from within: forty files would nest forty deep.
        QTimer.singleShot(0, self, self._next)
        if kept.fault is not None:
            raise kept.fault

    def _told(self, kept: Kept) -> str:
        name, why = kept.wanted.name, kept.refusal
        told = why if why.startswith(name) else tr("{name}: {why}", name=name, why=why)
        if self._job is None or self._job.id != kept.wanted.job.id:
            told = tr("Job {number}: {told}", number=kept.wanted.job.number, told=told)
        return told

    def _show_kept(self, wanted: Wanted) -> None:
        if self._job is None or self._stage is None or self._pane is None or self._job.id != wanted.job.id:
            return
        # What was typed for it has been kept with it.
        if self._pane.caption.text() == wanted.caption:
            self._pane.caption.clear()
        self.show_stage(self._job, self._stage, self._pane)

    def _say(self) -> None:
        if self._pane is None:
            return
        self._pane.refuse(self._refusals)
        sentence = ""
        if self._at_work is not None:
            sentence = tr("Adding {name} …", name=self._at_work.name)
            if self._waiting:
                sentence += " " + tr("{count} more to come.", count=len(self._waiting))
        self._pane.say_progress(sentence)

    # -- seen large ----------------------------------------------------------------------------------------------

    def _open_view(self, photo_id: int) -> None:
        self._seen = photo_id
        self._show_seen()
        self.view_changed.emit(True)
        self.view.show()
        self.view.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_seen(self) -> None:
        photo = next((photo for photo in self._photos if photo.id == self._seen), None)
        if photo is None or self._stage is None or self._job is None:
            return
        at = self._photos.index(photo)
        name = photo_name(photo, at + 1, tr(self._stage.label))
        picture = _pixmap(self._workshop.photo_image(photo.id))
        self.view.show_photo(photo, picture, name, self._facts(photo))
        may_strike = self._job.signed_at is None and photo.struck_at is None
        self.view.show_read(may_read=may_strike and is_readable(photo))
        self.view.show_strike(_strike_words(photo), may_strike=may_strike)
        self.view.show_place(at, len(self._photos))

    def _facts(self, photo: Photo) -> str:
        moment = photo.at.astimezone().strftime("%Y-%m-%d %H:%M")
        return " · ".join(part for part in (_place_words(self._stage, photo), photo.person, moment) if part)

    def _step(self, step: int) -> None:
        ids = [photo.id for photo in self._photos]
        if self._seen in ids:
            at = min(max(ids.index(self._seen) + step, 0), len(ids) - 1)
            self._seen = ids[at]
            self._show_seen()

    def _want_print(self) -> None:
        photo = next((photo for photo in self._photos if photo.id == self._seen), None)
        if photo is not None and self._stage is not None:
            name = photo_name(photo, self._photos.index(photo) + 1, tr(self._stage.label))
            self.print_wanted.emit(photo, _pixmap(self._workshop.photo_image(photo.id)), name)

    def _strike(self, reason: str) -> None:
        if self._seen is None or self._job is None or self._stage is None or self._pane is None:
            return
        try:
            self._workshop.strike_photo(self._seen, reason=reason, person=self._settings.person)
        except UserError as error:
            self.view.refuse(str(error))
            self.view.reason.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self.show_stage(self._job, self._stage, self._pane)
        self._show_seen()
        self.view.back.setFocus(Qt.FocusReason.OtherFocusReason)

    def close_view(self) -> None:
        """Go back from a large photo to the stage, where one is seen."""
        if self._seen is None:
            return
        seen, self._seen = self._seen, None
        self.view.hide()
        self.view_changed.emit(False)
        thumbnail = self._pane.thumbnail(seen) if self._pane is not None else None
        if thumbnail is not None:
            thumbnail.setFocus(Qt.FocusReason.OtherFocusReason)


def _pixmap(jpeg: bytes) -> QPixmap:
    picture = QPixmap()
    picture.loadFromData(jpeg)
    return picture


def _strike_words(photo: Photo) -> str:
    if photo.struck_at is None:
        return ""
    moment = photo.struck_at.astimezone().strftime("%Y-%m-%d %H:%M")
    name = photo.struck_by or tr("somebody")
    return tr("Struck by {name}, {moment}: {reason}", name=name, moment=moment, reason=photo.strike_reason)


def _place_words(stage: Stage | None, photo: Photo) -> str:
    if stage is None or not photo.entry:
        return ""
    try:
        entry = stage.entry(photo.entry)
        return field_name(entry, entry.position(photo.position), photo.trial)
    except KeyError:  # an entry that a newer program asks for
        return photo.entry
