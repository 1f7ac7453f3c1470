"""What is dropped or pasted, as pictures: files by their place, or a picture itself."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMimeData
from PySide6.QtGui import QImage, QImageWriter


def are_pictures(mime: QMimeData) -> bool:
    """Return whether files or a picture come in, rather than text for a field."""
    # A word processor hands out a picture of its text beside the text; that is meant as text.
    return bool(_files(mime)) or (mime.hasImage() and (mime.hasUrls() or not mime.hasText()))


def pictures_in(mime: QMimeData) -> list[Path | QImage]:
    """Return the files that come in, or the picture; what a file holds is for others to find out."""
    files = _files(mime)
    if files or not mime.hasImage():
        return list(files)
    image = QImage(mime.imageData())
    return [] if image.isNull() else [image]


def as_png(image: QImage) -> bytes:
    """Return a picture as the content of a file, without loss; works on any thread."""
    content = QByteArray()
    buffer = QBuffer(content)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, QByteArray(b"png")).write(image)
    buffer.close()
    return bytes(content.data())


def _files(mime: QMimeData) -> list[Path]:
    return [Path(url.toLocalFile()) for url in mime.urls() if url.isLocalFile()]
