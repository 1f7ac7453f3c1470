"""Takes the pictures of README anew, from the present window and a demo told for it.

Run, with a screen or without one (packages xvfb and openbox)::

    PYTHONPATH=. xvfb-run -a -s "-screen 0 1500x1000x24" \\
        sh -c 'openbox & sleep 1; .venv/bin/python tests/support/take_pictures.py'

and look at what came of it in ``assets/pictures``.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

from PIL import Image
from PySide6.QtCore import QBuffer, QEventLoop, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app import theme
from app.settings import Settings
from app.window import Window
from core.demo import prepare_demo
from core.workshop import Workshop

FOLDER = Path(__file__).parents[2] / "assets" / "pictures"
BENCH, DESK = (1440, 900), (1440, 600)
"""How large the window is on each picture: the desk need not show its oldest jobs."""
PERSON = "Tam Ollerby"
AT_PRELOAD = "2614"
CAME_BACK = "2611"
WRENCH = "beam wrench 2"
COLOURS = 256
MOST_BYTES = 100_000
"""A picture of README takes no more: it is read on a page, not printed."""


def wait(until: Callable[[], bool] = lambda: False, ms: int = 20_000) -> None:
    """Let the window do its work until something is so, or for so long."""
    loop = QEventLoop()
    looks, over = QTimer(interval=50), QTimer(singleShot=True, interval=ms)
    looks.timeout.connect(lambda: loop.quit() if until() else None)
    over.timeout.connect(loop.quit)
    looks.start()
    over.start()
    loop.exec()


def keep(window: QWidget, name: str) -> None:
    """Write what the window shows, in so few colours that its surfaces keep theirs and only edges of letters change."""
    buffer = QBuffer()
    buffer.open(QBuffer.OpenModeFlag.WriteOnly)
    window.grab().save(buffer, "PNG")
    picture = Image.open(BytesIO(buffer.data().data())).convert("RGB")
    file = FOLDER / f"{name}.png"
    picture.quantize(COLOURS, dither=Image.Dither.NONE).save(file, optimize=True)
    print(f"{file}: {picture.width} x {picture.height}, {file.stat().st_size} bytes")
    if file.stat().st_size > MOST_BYTES:
        sys.exit(f"{file} is larger than {MOST_BYTES} bytes: show less of the window.")


def read_two_trials(workshop: Workshop) -> None:
    """Bring a job to where its third trial is advised: one pair too loose, one too tight."""
    job = workshop.job(AT_PRELOAD)
    for entry, text in (("pairs_kept", "yes"), ("cone_temperature", "95 °C"), ("out_of_mesh", "yes")):
        workshop.record(job.id, "preload", entry, text, person=PERSON)
    told = (("2.50", "2.50", "0.05", "0.05"), ("2.56", "2.54", "1.40", "1.45"))
    entries = "ring_gear_side", "opposite_side", "torque_forward", "torque_back"
    for trial, texts in enumerate(told, start=1):
        for entry, text in zip(entries, texts, strict=True):
            workshop.record(job.id, "preload", entry, text, trial=trial, person=PERSON)


def bench(workshop: Workshop, window: Window) -> None:
    """The bench: the pair that was advised is the third trial, and its torque is being typed."""
    window.open_job(workshop.job(AT_PRELOAD).id)
    advice = window.bench.desks.advice
    wait(lambda: not advice.is_asking)
    advice.take()
    wait(ms=3000)
    QTest.keyClicks(QApplication.focusWidget(), "0.7")
    wait(ms=1500)
    keep(window, "bench-light")


def desk(window: Window) -> None:
    """The desk, dark: every job with its marks, and the visits of a unit that came back."""
    theme.apply(QApplication.instance(), "dark", 100)
    window.resize(*DESK)
    window.show_desk()
    wait(lambda: window.desk.jobs.rows_model.rowCount() > 0)
    numbers = [row.job.number for row in window.desk.jobs.rows_model.rows]
    window.desk.jobs.choose(numbers.index(CAME_BACK))
    wait(ms=2500)
    keep(window, "desk-dark")


def main() -> None:
    """Tell the demo into a folder of its own, open the window on it, and take both pictures."""
    application = QApplication([])
    with tempfile.TemporaryDirectory() as folder:
        workshop, _ = prepare_demo(Path(folder))
        read_two_trials(workshop)
        theme.apply(application, "light", 100)
        wrench = next(gauge.id for gauge in workshop.gauges() if gauge.name == WRENCH)
        window = Window(workshop, Settings(person=PERSON, gauges={"torque": wrench}))
        window.resize(*BENCH)
        window.show()
        wait(ms=1500)
        bench(workshop, window)
        desk(window)
        window.close()
        workshop.close()


if __name__ == "__main__":
    main()
