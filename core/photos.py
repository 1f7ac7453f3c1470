"""Photos on their way into the logbook: whatever picture comes in, a plain JPEG and its thumbnail come out.

A file is not trusted: its size on the disk and the size its header states are looked at before anything is decoded,
only the formats named here are tried, and what cannot be read is refused with a sentence. What comes out holds the
picture and nothing else: turned upright, in the colours of sRGB, without place, camera, software or any other note.
"""

from __future__ import annotations

import hashlib
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import NoReturn

from PIL import Image, ImageCms, UnidentifiedImageError

from core.errors import InputError
from core.facts import Photo
from core.language import tr

LONGEST_SIDE = 2560
"""Longest side of a photo that is kept [px]."""
LONGEST_THUMBNAIL = 320
"""Longest side of its thumbnail [px]."""
QUALITY = 88
LARGEST_FILE = 60_000_000
"""Larger files are refused [bytes]."""
MOST_PIXELS = 50_000_000
"""Pictures of more pixels are refused: decoded, they would take more memory than a small machine has."""
MOST_SCALED_PIXELS = 256_000_000
"""Most pixels of a JPEG that is decoded straight to a smaller size."""
FORMATS = ("JPEG", "PNG", "WEBP", "GIF", "BMP")
"""What is opened; everything else is refused before any decoder sees it."""

_PHONE_FORMATS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis")
_GREY_MODES = ("1", "L", "LA", "I;16")
_ORIENTATION = 0x0112
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What undoes each orientation of Exif 2.3, tag 274; 1 is upright."""

_START_OF_SCAN, _END_OF_IMAGE = b"\xff\xda", b"\xff\xd9"
# The library's own guard, for a size that only comes to light while a file is opened or decoded.
Image.MAX_IMAGE_PIXELS = MOST_SCALED_PIXELS
# A person gets the photo or a sentence; what the library remarks about damaged notes would only go to the console.
warnings.filterwarnings("ignore", module=r"PIL\.")


@dataclass(frozen=True)
class PreparedPhoto:
    """A photo fit to be kept: two JPEGs without any notes, and the size of the larger one [px]."""

    image: bytes
    thumbnail: bytes
    width: int
    height: int

    @property
    def digest(self) -> str:
        """SHA-256 of the image, in hexadecimal digits: the same file gives the same one every time."""
        return hashlib.sha256(self.image).hexdigest()


@dataclass(frozen=True)
class PrintedPhoto:
    """A photo as it goes on paper: a JPEG of a size fit for it, empty where the photo was struck."""

    photo: Photo
    image: bytes


def prepare(source: bytes | Path) -> PreparedPhoto:
    """Make a photo fit to be kept.

    The first picture of an animation is taken, what is transparent becomes white, grey stays grey.

    Parameters
    ----------
    source : bytes or Path
        The content of a picture file, or where it is.

    Returns
    -------
    PreparedPhoto
        At most `LONGEST_SIDE` and `LONGEST_THUMBNAIL` pixels long; equal input gives equal bytes.

    Raises
    ------
    InputError
        There is no such file, it is empty, too large, damaged, or no picture of a format that is opened.
    """
    name = _printable(source.name) if isinstance(source, Path) else tr("The picture")
    data = _read(source, name) if isinstance(source, Path) else source
    _need_size(len(data), name)
    upright = _decoded(data, name)
    thumbnail = _shrunk(upright, LONGEST_THUMBNAIL)
    return PreparedPhoto(_as_jpeg(upright), _as_jpeg(thumbnail), upright.width, upright.height)


def rendition(image: bytes, longest: int) -> bytes:
    """Return a photo from the logbook as a smaller JPEG, at most `longest` pixels long."""
    with Image.open(BytesIO(image), formats=FORMATS) as opened:
        opened.draft(None, _within(opened.size, longest))
        return _as_jpeg(_shrunk(opened, longest))


def opened(image: bytes) -> Image.Image:
    """Return a photo as kept, decoded, in colours.

    Parameters
    ----------
    image : bytes
        A picture file no longer than `LONGEST_SIDE`, as `prepare` makes it.

    Raises
    ------
    InputError
        It is no picture that can be opened, is damaged, or is larger than what is kept: places marked on it would not
        be found again once it is made smaller.
    """
    name = tr("The picture")
    _need_size(len(image), name)
    picture = _decoded(image, name)
    with Image.open(BytesIO(image), formats=FORMATS) as stated:
        if max(stated.size) > LONGEST_SIDE:
            raise InputError(
                tr("{name} is larger than {most} pixels.", name=name, most=LONGEST_SIDE),
                tr("Add it to the job first, then mark it there."),
            )
    return picture.convert("RGB")


# -- reading ---------------------------------------------------------------------------------------------------------


def _read(path: Path, name: str) -> bytes:
    try:
        if path.is_dir():
            raise InputError(tr("{name} is a folder.", name=name), tr("Choose the photos in it."))
        # A pipe or a device would be waited for without end.
        if path.exists() and not path.is_file():
            raise InputError(tr("{name} is not a file.", name=name), tr("Choose a picture file."))
        with path.open("rb") as file:
            return file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(
            tr("{name} cannot be read: {why}.", name=name, why=why),
            tr("Check that it is still there and may be read, or copy it to this machine first."),
        ) from error


def _need_size(size: int, name: str) -> None:
    if size == 0:
        raise InputError(tr("{name} is empty.", name=name), tr("Copy it from the camera again."))
    if size > LARGEST_FILE:
        raise InputError(
            tr("{name} is larger than {most} MB.", name=name, most=LARGEST_FILE // 1_000_000),
            tr("Save it smaller, then add it again."),
        )


def _printable(name: str) -> str:
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in name)[:80]


# -- decoding --------------------------------------------------------------------------------------------------------


def _decoded(data: bytes, name: str) -> Image.Image:
    """Return the picture upright, in grey or sRGB, and no larger than is kept."""
    if data[4:8] == b"ftyp" and data[8:12] in _PHONE_FORMATS:
        raise InputError(
            tr("{name} is in a format of telephones that is not opened here (HEIC or AVIF).", name=name),
            tr("Save or send it as JPEG, then add that."),
        )
    try:
        with Image.open(BytesIO(data), formats=FORMATS) as image:
            _need_pixels(image, data, name)
            image.draft(None, _within(image.size, LONGEST_SIDE))
            image.load()
            _need_pixels(image, data, name)
            return _upright(image)
    except UnidentifiedImageError as error:
        raise InputError(
            tr("{name} is not a picture that can be opened.", name=name),
            tr("Choose a photo saved as {formats}.", formats=_formats_in_words()),
        ) from error
    except InputError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning, MemoryError):
        _refuse_pixels(name)
    except Exception as error:
        # What a decoder raises over a damaged file is anything at all.
        raise InputError(
            tr("{name} is damaged or cut short.", name=name), tr("Copy it from the camera again, or take it anew.")
        ) from error


def _need_pixels(image: Image.Image, data: bytes, name: str) -> None:
    most = MOST_SCALED_PIXELS if image.format in ("JPEG", "MPO") and _is_one_pass(image, data) else MOST_PIXELS
    if image.width * image.height > most:
        _refuse_pixels(name)


def _is_one_pass(image: Image.Image, data: bytes) -> bool:
    """Return whether a JPEG can be decoded straight to a smaller size; several passes must be held in memory whole."""
    if "progressive" in image.info:
        return False
    at = 2
    while data[at : at + 1] == b"\xff" and data[at : at + 2] != _START_OF_SCAN:
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    if data[at : at + 2] != _START_OF_SCAN:
        return False
    end = data.find(_END_OF_IMAGE, at)
    return data.find(_START_OF_SCAN, at + 2, len(data) if end < 0 else end) < 0


def _refuse_pixels(name: str) -> NoReturn:
    raise InputError(
        tr("{name} has more pixels than can be opened here.", name=name),
        tr("Save it smaller, with at most {most} million pixels, then add it again.", most=MOST_PIXELS // 1_000_000),
    )


def _formats_in_words() -> str:
    words = ["WebP" if name == "WEBP" else name for name in FORMATS]
    return tr("{some} or {last}", some=", ".join(words[:-1]), last=words[-1])


# -- turning it into what is kept ------------------------------------------------------------------------------------


def _upright(image: Image.Image) -> Image.Image:
    profile = image.info.get("icc_profile")
    is_grey = image.mode in _GREY_MODES
    made = _on_white(_shrunk(_simple(image), LONGEST_SIDE))
    made = _in_srgb(made, profile)
    # Converted colours of a grey picture are grey too, within a rounding.
    made = made.convert("L") if is_grey else made
    return _turned(made, image)


def _simple(image: Image.Image) -> Image.Image:
    """Return the picture in a mode that can be made smaller: grey or colours, with or without transparency, or inks."""
    if image.mode == "I;16":
        # Sixteen bits to eight; the library's own conversion cuts off what is above 255.
        return image.point(lambda value: value / 256).convert("L")
    if image.has_transparency_data:
        return image.convert("LA" if image.mode in _GREY_MODES else "RGBA")
    if image.mode in ("L", "RGB", "CMYK"):
        return image
    return image.convert("L" if image.mode == "1" else "RGB")


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode not in ("LA", "RGBA"):
        return image
    ground = Image.new(image.mode[:-1], image.size, "white")
    ground.paste(image.convert(ground.mode), mask=image.getchannel("A"))
    return ground


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    if profile:
        try:
            described = ImageCms.ImageCmsProfile(BytesIO(profile))
            converted = ImageCms.profileToProfile(image, described, ImageCms.createProfile("sRGB"), outputMode="RGB")
        except (ImageCms.PyCMSError, OSError):
            # A profile that is damaged, or of another kind than the picture, says nothing about its colours.
            converted = None
        if converted is not None:
            return converted
    return image if image.mode in ("L", "RGB") else image.convert("RGB")


def _turned(image: Image.Image, original: Image.Image) -> Image.Image:
    """Return the picture the way the camera was held."""
    try:
        turn = _TURNS.get(original.getexif().get(_ORIENTATION, 1))
    except Exception:  # notes that cannot be read do not say how the camera was held
        turn = None
    return image if turn is None else image.transpose(turn)


def _within(size: tuple[int, int], longest: int) -> tuple[int, int]:
    """Return a size in the same proportions, at most `longest` pixels long and at least one wide."""
    share = min(longest / max(size), 1.0)
    return max(round(size[0] * share), 1), max(round(size[1] * share), 1)


def _shrunk(image: Image.Image, longest: int) -> Image.Image:
    size = _within(image.size, longest)
    return image if size == image.size else image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)


def _as_jpeg(image: Image.Image) -> bytes:
    # What was written beside the picture must not go along.
    bare = image.copy()
    bare.info = {}
    out = BytesIO()
    bare.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()
