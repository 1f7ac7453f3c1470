"""Photos as they come: turned, stripped of notes, made small; what is no picture is refused with a sentence."""

from __future__ import annotations

import os
import random
import struct
import subprocess
import sys
import zlib
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageChops, ImageCms, PngImagePlugin

from core import photos
from core.errors import InputError
from core.photos import LONGEST_SIDE, LONGEST_THUMBNAIL, PreparedPhoto, prepare, rendition

RED, WHITE, BLUE = (200, 30, 30), (255, 255, 255), (20, 40, 200)


def encoded(image: Image.Image, kind: str = "PNG", **options: Any) -> bytes:
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


def kept(prepared: PreparedPhoto) -> Image.Image:
    return opened(prepared.image)


def assert_alike(one: Image.Image, other: Image.Image, within: int = 12) -> None:
    """Every pixel is the same but for what JPEG rounds."""
    assert one.size == other.size
    ranges = ImageChops.difference(one.convert("RGB"), other.convert("RGB")).getextrema()
    assert max(high for _, high in ranges) <= within, ranges


def quarters() -> Image.Image:
    """Return a picture that is another one however it is turned: four colours, wider than high."""
    image = Image.new("RGB", (128, 64), "white")
    image.paste((220, 40, 40), (0, 0, 64, 32))
    image.paste((40, 180, 60), (64, 0, 128, 32))
    image.paste((40, 60, 200), (0, 32, 64, 64))
    return image


def with_notes(image: Image.Image, orientation: int = 1) -> bytes:
    """Return a JPEG as a telephone writes it: place, maker's notes, thumbnail, packet of words, comment, profile."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F], exif[0x0110], exif[0x013B] = "Maker Of Cameras", "Model Seven", "Name Of Owner"
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 30.0, 1.0), 3: "W", 4: (0.0, 7.0, 2.0)})
    exif.get_ifd(0x8769).update({0x927C: b"makers-note-bytes" * 20, 0x9003: "2031:05:05 08:00:00"})
    xmp = b"<x:xmpmeta xmlns:x='adobe:ns:meta/'><where>Secret Lane</where></x:xmpmeta>"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    options = {"exif": exif, "comment": b"taken at Secret Lane", "xmp": xmp, "icc_profile": profile}
    return encoded(image, "JPEG", quality=95, subsampling=0, **options)


def segments(jpeg: bytes) -> list[int]:
    """Return the markers of a JPEG up to its picture data."""
    found, at = [], 2
    while jpeg[at + 1] != 0xDA:
        assert jpeg[at] == 0xFF
        found.append(jpeg[at + 1])
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")
    return found


def png_of(width: int, height: int, row: bytes, *, bits: int = 1, colour: int = 0) -> bytes:
    """Return a PNG whose rows are all the same; written a row at a time, so that any size takes next to nothing."""
    packer = zlib.compressobj(9)
    data = b"".join(packer.compress(b"\x00" + row) for _ in range(height)) + packer.flush()

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, bits, colour, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def black_png(side: int) -> bytes:
    return png_of(side, side, bytes(-(-side // 8)))


# -- what comes out ----------------------------------------------------------------------------------------------------


def test_a_large_photo_is_made_small_in_proportion() -> None:
    made = prepare(encoded(Image.effect_noise((4000, 3000), 60), "JPEG"))
    assert (made.width, made.height) == (2560, 1920)
    assert kept(made).size == (2560, 1920)
    assert opened(made.thumbnail).size == (320, 240)
    assert kept(made).format == opened(made.thumbnail).format == "JPEG"


def test_a_small_photo_keeps_its_size() -> None:
    made = prepare(encoded(quarters()))
    assert (made.width, made.height) == (128, 64)
    assert opened(made.thumbnail).size == (128, 64)
    assert_alike(kept(made), quarters(), 90)
    # Away from the edges between colours, where JPEG blurs, the colours are the same.
    for at in ((32, 16), (96, 16), (32, 48), (96, 48)):
        assert all(abs(a - b) <= 3 for a, b in zip(kept(made).getpixel(at), quarters().getpixel(at), strict=True))


@pytest.mark.parametrize("size", [(5000, 3), (3, 5000), (1, 1), (2561, 1), (2560, 2560)])
def test_any_proportion_is_kept(size: tuple[int, int]) -> None:
    made = prepare(encoded(Image.new("RGB", size, RED)))
    assert max(made.width, made.height) == min(max(size), LONGEST_SIDE)
    assert min(made.width, made.height) >= 1
    assert max(opened(made.thumbnail).size) <= LONGEST_THUMBNAIL


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_photo_stands_as_the_camera_was_held(orientation: int) -> None:
    upright = quarters()
    # How a camera stores it: what brings it back is Exif's definition of each orientation.
    stored = {
        1: lambda i: i,
        2: lambda i: i.transpose(Image.Transpose.FLIP_LEFT_RIGHT),
        3: lambda i: i.rotate(180),
        4: lambda i: i.transpose(Image.Transpose.FLIP_TOP_BOTTOM),
        5: lambda i: i.transpose(Image.Transpose.FLIP_LEFT_RIGHT).rotate(90, expand=True),
        6: lambda i: i.rotate(90, expand=True),
        7: lambda i: i.transpose(Image.Transpose.FLIP_LEFT_RIGHT).rotate(-90, expand=True),
        8: lambda i: i.rotate(-90, expand=True),
    }[orientation](upright)
    made = prepare(with_notes(stored, orientation))
    assert (made.width, made.height) == upright.size
    plain = prepare(encoded(upright, "JPEG", quality=95, subsampling=0))
    assert_alike(kept(made), kept(plain), 24)
    assert_alike(opened(made.thumbnail), opened(plain.thumbnail), 24)


def test_the_orientation_of_a_png_counts_too() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    assert prepare(encoded(quarters().rotate(90, expand=True), "PNG", exif=exif)).width == 128


def test_nothing_but_the_picture_goes_along() -> None:
    source = with_notes(quarters(), 3)
    for secret in (b"Maker Of Cameras", b"makers-note-bytes", b"Secret Lane", b"Exif", b"ICC_PROFILE"):
        assert secret in source
    made = prepare(source)
    for jpeg in (made.image, made.thumbnail):
        # JFIF header, tables and frame: no Exif (APP1), no profile (APP2), no comment, nothing behind the end.
        assert set(segments(jpeg)) <= {0xE0, 0xDB, 0xC0, 0xC4}
        assert jpeg.endswith(b"\xff\xd9")
        assert jpeg.count(b"\xff\xd8\xff") == 1, "a thumbnail inside"
        assert not opened(jpeg).getexif()
        for secret in (b"Maker", b"makers", b"Secret", b"Owner", b"Model", b"2031"):
            assert secret not in jpeg


def test_the_words_of_a_png_stay_behind() -> None:
    words = PngImagePlugin.PngInfo()
    words.add_text("Author", "Name Of Owner")
    words.add_itxt("XML:com.adobe.xmp", "<where>Secret Lane</where>")
    made = prepare(encoded(quarters(), "PNG", pnginfo=words))
    assert b"Owner" not in made.image
    assert b"Secret" not in made.image


def test_the_same_file_gives_the_same_bytes(tmp_path: Path) -> None:
    source = with_notes(Image.effect_noise((3000, 2000), 60).convert("RGB"), 6)
    (tmp_path / "gear.jpg").write_bytes(source)
    one, other = prepare(source), prepare(tmp_path / "gear.jpg")
    assert one == other
    assert one.digest == other.digest
    assert len(one.digest) == 64
    assert prepare(encoded(quarters())).digest != one.digest


# -- kinds of pictures -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "GIF", "BMP"])
def test_what_is_opened(kind: str) -> None:
    made = prepare(encoded(Image.new("RGB", (64, 32), RED), kind))
    assert_alike(kept(made), Image.new("RGB", (64, 32), RED))


def test_a_wrong_ending_does_not_matter(tmp_path: Path) -> None:
    (tmp_path / "photo.jpg").write_bytes(encoded(quarters(), "PNG"))
    assert prepare(tmp_path / "photo.jpg").width == 128


def test_grey_stays_grey() -> None:
    ramp = Image.linear_gradient("L")
    for source in (encoded(ramp), encoded(ramp, "JPEG", quality=95)):
        made = prepare(source)
        assert kept(made).mode == "L"
        assert_alike(kept(made), ramp, 6)
    assert kept(prepare(encoded(ramp.convert("1")))).mode == "L"


def test_sixteen_bits_are_brought_to_eight_not_cut_off() -> None:
    wide = Image.new("I;16", (256, 8))
    wide.putdata([column * 257 for _ in range(8) for column in range(256)])
    made = kept(prepare(encoded(wide)))
    assert made.mode == "L"
    for column in (0, 64, 128, 192, 255):
        assert abs(made.getpixel((column, 4)) - column) <= 6


def test_sixteen_bit_colours() -> None:
    # Two bytes for each of red, green and blue: full, half, nothing.
    data = png_of(16, 16, b"\xff\xff\x80\x00\x00\x00" * 16, bits=16, colour=2)
    assert_alike(kept(prepare(data)), Image.new("RGB", (16, 16), (255, 128, 0)), 6)


def test_inks_become_colours() -> None:
    cmyk = Image.new("CMYK", (64, 64), (0, 255, 255, 0))
    made = kept(prepare(encoded(cmyk, "JPEG", quality=95)))
    assert made.mode == "RGB"
    red, green, blue = made.getpixel((32, 32))
    assert red > 220 and green < 60 and blue < 60


def test_a_palette_keeps_its_colours() -> None:
    made = kept(prepare(encoded(quarters().quantize(8), "PNG")))
    assert all(abs(a - b) <= 6 for a, b in zip(made.getpixel((32, 16)), (220, 40, 40), strict=True))


@pytest.mark.parametrize("mode", ["RGBA", "LA", "PA"])
def test_what_is_transparent_becomes_white(mode: str) -> None:
    image = Image.new("RGBA", (64, 64), (*RED, 0))
    image.paste((*BLUE, 255), (0, 0, 32, 64))
    if mode == "PA":
        image = image.quantize(4)
        data = encoded(image, "PNG")
    else:
        data = encoded(image.convert(mode))
    made = kept(prepare(data))
    assert made.mode == ("L" if mode == "LA" else "RGB")
    assert_alike(made.crop((48, 0, 64, 64)), Image.new("RGB", (16, 64), WHITE), 4)
    assert made.convert("L").getpixel((8, 32)) < 100


def test_half_transparent_is_half_white() -> None:
    made = kept(prepare(encoded(Image.new("RGBA", (32, 32), (0, 0, 0, 128)))))
    assert_alike(made, Image.new("RGB", (32, 32), (127, 127, 127)), 3)


def test_one_colour_of_a_png_may_be_transparent() -> None:
    data = encoded(Image.new("RGB", (32, 32), RED), "PNG", transparency=RED)
    assert_alike(kept(prepare(data)), Image.new("RGB", (32, 32), WHITE), 3)


@pytest.mark.parametrize("kind", ["GIF", "WEBP", "PNG"])
def test_the_first_picture_of_an_animation_counts(kind: str) -> None:
    frames = [Image.new("RGB", (40, 40), colour) for colour in (RED, BLUE)] + [
        Image.new("RGB", (40, 40), (index, index, index)) for index in range(200)
    ]
    made = prepare(encoded(frames[0], kind, save_all=True, append_images=frames[1:]))
    assert_alike(kept(made), frames[0])


def test_a_profile_is_applied() -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    swapped = _with_red_and_blue_swapped(profile)
    red = Image.new("RGB", (32, 32), (255, 0, 0))
    made = kept(prepare(encoded(red, "PNG", icc_profile=swapped)))
    assert_alike(made, Image.new("RGB", (32, 32), (0, 0, 255)))


def _with_red_and_blue_swapped(profile: bytes) -> bytes:
    """Return a profile whose red and blue primaries have changed places: only who applies it sees blue."""
    placeholder = profile.replace(b"rXYZ", b"????", 1)
    return placeholder.replace(b"bXYZ", b"rXYZ", 1).replace(b"????", b"bXYZ", 1)


@pytest.mark.parametrize("profile", [b"no profile at all", b"\x00" * 200])
def test_a_damaged_profile_is_passed_over(profile: bytes) -> None:
    made = prepare(encoded(quarters(), "JPEG", icc_profile=profile))
    assert made.width == 128
    inks = prepare(encoded(quarters().convert("CMYK"), "JPEG", icc_profile=profile))
    assert kept(inks).mode == "RGB"


def test_a_profile_of_another_kind_is_passed_over() -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    made = prepare(encoded(Image.linear_gradient("L"), "PNG", icc_profile=profile))
    assert kept(made).mode == "L"


# -- what is refused ---------------------------------------------------------------------------------------------------


def refusal(source: bytes | Path) -> InputError:
    with pytest.raises(InputError) as caught:
        prepare(source)
    assert caught.value.message.endswith(".")
    assert caught.value.remedy.endswith(".")
    return caught.value


def test_a_bomb_is_refused_before_it_is_decoded(monkeypatch: pytest.MonkeyPatch) -> None:
    bomb = black_png(50_000)
    assert len(bomb) < 1_000_000
    monkeypatch.setattr(PngImagePlugin.PngImageFile, "load", lambda self: pytest.fail("it was decoded"))
    assert "more pixels than can be opened" in str(refusal(bomb))


def test_a_bomb_below_the_library_s_own_limit_is_refused() -> None:
    assert "at most 50 million pixels" in str(refusal(black_png(9_000)))


def test_a_gif_larger_inside_than_its_header_says_is_refused() -> None:
    small = encoded(Image.new("P", (8, 8)), "GIF")
    at = small.index(b",", 13)
    # The picture's own size, behind its separator: left, top, width, height.
    lying = small[: at + 5] + struct.pack("<HH", 65_000, 65_000) + small[at + 9 :]
    assert "more pixels" in str(refusal(lying))


@pytest.mark.parametrize("kind", ["WEBP", "BMP"])
def test_other_bombs(kind: str) -> None:
    data = bytearray(encoded(Image.new("RGB", (16, 16)), kind, **({"lossless": True} if kind == "WEBP" else {})))
    if kind == "BMP":
        struct.pack_into("<ii", data, 18, 30_000, 30_000)
    else:
        at = data.index(b"VP8L") + 9
        bits = struct.unpack_from("<I", data, at)[0]
        struct.pack_into("<I", data, at, bits & ~0x0FFFFFFF | 16_383 | 16_383 << 14)
    refused = str(refusal(bytes(data)))
    assert "more pixels" in refused or "damaged" in refused or "not a picture" in refused


def test_a_large_jpeg_is_decoded_small() -> None:
    """A hundred million pixels take no more memory than a tenth of what they would fill."""
    code = (
        "import resource, sys\n"
        "from io import BytesIO\n"
        "from PIL import Image\n"
        "from core.photos import prepare\n"
        "data = sys.stdin.buffer.read()\n"
        "before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss\n"
        "made = prepare(data)\n"
        "print(made.width, made.height, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)\n"
    )
    wide = Image.new("RGB", (12_000, 8_400), RED)
    data = encoded(wide, "JPEG")
    del wide
    done = subprocess.run([sys.executable, "-c", code], input=data, capture_output=True, check=True, timeout=120)
    width, height, kilobytes = (int(word) for word in done.stdout.split())
    assert (width, height) == (2560, 1792)
    assert kilobytes < 120_000


def test_a_large_jpeg_of_several_passes_is_refused() -> None:
    wide = encoded(Image.new("L", (9_000, 8_000)), "JPEG", progressive=True)
    assert "more pixels" in str(refusal(wide))
    assert prepare(encoded(Image.new("L", (9_000, 8_000)), "JPEG")).width == LONGEST_SIDE


def test_whether_a_jpeg_comes_in_one_pass() -> None:
    plain = encoded(quarters(), "JPEG")
    progressive = encoded(quarters(), "JPEG", progressive=True)
    assert photos._is_one_pass(opened(plain), plain)
    assert not photos._is_one_pass(opened(progressive), progressive)
    # Even where the header does not say so, a second scan gives it away; one behind the end is another picture.
    assert not photos._is_one_pass(opened(plain), progressive)
    assert photos._is_one_pass(opened(plain), plain + progressive)
    assert not photos._is_one_pass(opened(plain), b"\xff\xd8\xff")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "GIF", "BMP"])
@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_a_file_cut_short_is_refused(kind: str, share: float) -> None:
    whole = encoded(Image.effect_noise((300, 200), 80).convert("RGB"), kind)
    refused = str(refusal(whole[: int(len(whole) * share)]))
    assert "damaged or cut short" in refused or "not a picture" in refused


def test_words_called_jpg_are_refused_and_the_formats_named(tmp_path: Path) -> None:
    (tmp_path / "gear.jpg").write_text("this is no picture " * 100, encoding="utf-8")
    assert str(refusal(tmp_path / "gear.jpg")) == (
        "gear.jpg is not a picture that can be opened. Choose a photo saved as JPEG, PNG, WebP, GIF or BMP."
    )


@pytest.mark.parametrize("kind", ["TIFF", "PDF", "ICO", "TGA", "PPM", "PCX", "SGI", "EPS", "DDS"])
def test_other_formats_are_not_opened(kind: str) -> None:
    assert "not a picture that can be opened" in str(refusal(encoded(Image.new("RGB", (16, 16)), kind)))


@pytest.mark.parametrize("brand", [b"heic", b"mif1", b"avif", b"hevc"])
def test_the_format_of_telephones_is_named(brand: bytes) -> None:
    refused = str(refusal(b"\x00\x00\x00\x18ftyp" + brand + b"\x00" * 400))
    assert "HEIC" in refused
    assert "Save or send it as JPEG" in refused


def test_an_empty_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "gear.jpg").touch()
    assert "gear.jpg is empty." in str(refusal(tmp_path / "gear.jpg"))
    assert "is empty." in str(refusal(b""))


def test_a_file_too_large_is_refused_without_reading_it_all(tmp_path: Path) -> None:
    place = tmp_path / "gear.jpg"
    with place.open("wb") as file:
        file.truncate(3_000_000_000)
    assert "gear.jpg is larger than 60 MB." in str(refusal(place))


def test_a_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "pictures").mkdir()
    assert "pictures is a folder." in str(refusal(tmp_path / "pictures"))


def test_a_file_that_is_gone_is_refused(tmp_path: Path) -> None:
    assert "gone.jpg cannot be read: No such file or directory." in str(refusal(tmp_path / "gone.jpg"))
    assert "cannot be read" in str(refusal(Path("nul\x00byte.jpg")))
    assert "cannot be read" in str(refusal(tmp_path / ("x" * 300)))


def test_a_file_that_may_not_be_read_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "gear.jpg").write_bytes(encoded(quarters()))

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    # The superuser may read anything, so the refusal is made here.
    monkeypatch.setattr(Path, "open", refuse)
    assert "gear.jpg cannot be read: Permission denied." in str(refusal(tmp_path / "gear.jpg"))


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    assert "pipe.jpg is not a file." in str(refusal(tmp_path / "pipe.jpg"))


def test_a_name_is_printed_as_far_as_it_can_be(tmp_path: Path) -> None:
    refused = str(refusal(tmp_path / ("a\nb\u202e" + "x" * 200)))
    assert "a\N{REPLACEMENT CHARACTER}b\N{REPLACEMENT CHARACTER}xxx" in refused
    assert len(refused) < 300


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")
def test_notes_that_cannot_be_read_do_no_harm() -> None:
    broken = b"Exif\x00\x00II*\x00\xff\xff\xff\xff" + b"\xff" * 40
    assert prepare(encoded(quarters(), "JPEG", exif=broken)).width == 128


def test_too_little_memory_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr(PngImagePlugin.PngImageFile, "load", refuse)
    assert "more pixels than can be opened" in str(refusal(encoded(quarters())))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "GIF", "BMP"])
def test_whatever_is_damaged_is_opened_or_refused(kind: str) -> None:
    """Bytes changed at random never end in anything but a photo or a sentence."""
    whole = encoded(Image.effect_noise((60, 40), 80).convert("RGB"), kind)
    chance = random.Random(kind)
    for _ in range(60):
        damaged = bytearray(whole)
        for _ in range(chance.randint(1, 12)):
            damaged[chance.randrange(len(damaged))] = chance.randrange(256)
        try:
            made = prepare(bytes(damaged))
        except InputError:
            continue
        assert max(made.width, made.height) <= LONGEST_SIDE


# -- smaller ones for paper --------------------------------------------------------------------------------------------


def test_a_rendition_is_smaller_and_as_plain() -> None:
    made = prepare(encoded(Image.effect_noise((2400, 1200), 60), "JPEG"))
    smaller = rendition(made.image, 1000)
    assert opened(smaller).size == (1000, 500)
    assert opened(smaller).mode == "L"
    assert set(segments(smaller)) <= {0xE0, 0xDB, 0xC0, 0xC4}
    assert len(smaller) < len(made.image) / 3
    assert rendition(made.image, 1000) == smaller
    assert opened(rendition(made.thumbnail, 1000)).size == (320, 160)
