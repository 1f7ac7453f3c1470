"""Photos of painted teeth whose print is known: what is read is where the print is."""

from __future__ import annotations

import math
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter
from tooth_renderer import LENGTH, Print, Rendered, Scene, clicked, render, without_print

from core.errors import InputError
from core.outlines import read_outline, write_outline
from core.tooth_photo import PrintKind, ToothReading, read_tooth, rings_in_photo
from core.tooth_photo.facts import MOST_POINTS

Encode = Callable[..., bytes]
TAPER = Scene().taper
SMALL = (800, 600)


def read(drawn: Rendered, taper: float = TAPER) -> ToothReading:
    return read_tooth(drawn.jpeg, drawn.corners, toe_to_heel_depth_ratio=taper, length_to_depth_ratio=LENGTH)


def off(reading: ToothReading, drawn: Rendered) -> tuple[float, float]:
    centre = reading.patch.centre
    return abs(centre.along_ratio - drawn.centre[0]), abs(centre.depth_ratio - drawn.centre[1])


def opened(drawn: Rendered) -> Image.Image:
    return Image.open(BytesIO(drawn.jpeg)).convert("RGB")


def linear(drawn: Rendered) -> np.ndarray:
    coded = np.asarray(opened(drawn), dtype=float) / 255
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def coded(light: np.ndarray) -> Image.Image:
    light = np.clip(light, 0, 1)
    return Image.fromarray(
        (255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055) + 0.5).astype(np.uint8)
    )


def assert_same(one: ToothReading, other: ToothReading, within: float = 0.012) -> None:
    for name in ("along_ends", "depth_ends"):
        assert getattr(one.patch, name) == pytest.approx(getattr(other.patch, name), abs=2 * within)
    assert one.patch.centre.along_ratio == pytest.approx(other.patch.centre.along_ratio, abs=within)
    assert one.patch.centre.depth_ratio == pytest.approx(other.patch.centre.depth_ratio, abs=within)
    assert one.kind is other.kind


# -- what is read ------------------------------------------------------------------------------------------------------


def test_a_clean_photo_is_read_where_the_print_is(clean: Rendered) -> None:
    reading = read(clean)
    along, depth = off(reading, clean)
    assert along < 0.012 and depth < 0.02
    assert reading.patch.along_ends == pytest.approx(clean.along_ends, abs=0.03)
    assert reading.patch.depth_ends == pytest.approx(clean.depth_ends, abs=0.05)
    assert reading.patch.area_ratio == pytest.approx(clean.mask.mean(), rel=0.12)
    assert reading.patch.tilt_deg == pytest.approx(6.0, abs=3.0)
    assert reading.kind is PrintKind.DISPLACED
    assert reading.confidence > 0.85


def test_the_outline_has_few_points_and_encloses_what_is_measured(clean: Rendered) -> None:
    reading = read(clean)
    (loop,) = reading.outline
    assert 12 <= len(loop) <= MOST_POINTS
    x, y = np.array(loop).T
    assert (x.min(), x.max()) == pytest.approx(reading.patch.along_ends, abs=0.015)
    area = 0.5 * abs(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    assert area == pytest.approx(reading.patch.area_ratio, rel=0.04)


def test_a_dozen_photos_as_a_workshop_makes_them(dozen: list[tuple[Scene, Rendered]]) -> None:
    tried, right = 0, 0
    for scene, drawn in dozen:
        try:
            reading = read_tooth(drawn.jpeg, clicked(drawn, scene.seed, 2.0), toe_to_heel_depth_ratio=scene.taper)
        except InputError:
            continue
        along, depth = off(reading, drawn)
        # It is an outline as a person may draw one.
        assert len(read_outline(write_outline(reading.outline))) == len(reading.outline)
        tried += 1
        right += along < 0.03 and depth < 0.04
    assert tried >= 9
    assert right >= tried - 1


@pytest.mark.parametrize("pigment", ["yellow", "blue", "white", "red"])
def test_the_compound_may_have_any_colour(pigment: str) -> None:
    drawn = render(replace(Scene(size=SMALL, glare=0, oil=0), pigment=pigment, seed=5))
    along, depth = off(read(drawn), drawn)
    assert along < 0.03 and depth < 0.04


def test_compound_transferred_to_a_bare_flank_is_told_from_compound_displaced() -> None:
    drawn = render(Scene(size=SMALL, pigment="blue", is_transferred=True, glare=0, oil=0))
    reading = read(drawn)
    along, depth = off(reading, drawn)
    assert reading.kind is PrintKind.TRANSFERRED
    assert along < 0.03 and depth < 0.04


def test_two_patches_beside_each_other_are_one_print() -> None:
    pair = (Print(0.25, 0.5, 0.13, 0.26), Print(0.75, 0.5, 0.13, 0.26))
    drawn = render(Scene(size=SMALL, prints=pair, pigment="blue", glare=0, oil=0))
    reading = read(drawn)
    assert len(reading.outline) == 2
    assert sum(len(loop) for loop in reading.outline) <= MOST_POINTS
    assert off(reading, drawn)[0] < 0.03
    assert reading.patch.along_ends == pytest.approx(drawn.along_ends, abs=0.04)


@pytest.mark.parametrize("seed", [6, 8])
def test_white_compound_is_told_from_metal_where_a_shadow_falls_across(seed: int) -> None:
    """Slope and curve of the light alone put the print 0.06 off here, or find none."""
    shaded = Scene(size=SMALL, pigment="white", shadow=0.6, unevenness=0.5, exposure=0.8, seed=seed, glare=0, oil=0)
    drawn = render(shaded)
    along, depth = off(read(drawn), drawn)
    assert along < 0.03 and depth < 0.04


def test_one_patch_of_two_is_not_taken_for_the_print_where_the_other_shines() -> None:
    """The other patch is hardly less bright than glare."""
    pair = (Print(0.25, 0.5, 0.13, 0.26), Print(0.75, 0.5, 0.13, 0.26))
    drawn = render(Scene(size=SMALL, prints=pair, pigment="red", shadow=0.6, exposure=1.9, seed=5, glare=0, oil=0))
    reading = read(drawn)
    assert len(reading.outline) == 2
    assert off(reading, drawn)[0] < 0.03


def test_a_bowed_flank_seen_at_a_slant_is_followed() -> None:
    drawn = render(
        Scene(size=SMALL, bow=0.045, tip_deg=32.0, lean_deg=270.0, roll_deg=0.0, pigment="blue", glare=0, oil=0)
    )
    # Without following the bow the print would be read 0.08 too low.
    assert off(read(drawn), drawn)[1] < 0.04


def test_the_outline_is_laid_over_the_photo_where_the_print_is_seen(clean: Rendered) -> None:
    reading = read(clean)
    (ring,) = rings_in_photo(reading, clean.corners, toe_to_heel_depth_ratio=TAPER)
    shown = Image.new("L", opened(clean).size)
    ImageDraw.Draw(shown).polygon(ring, fill=255)
    inside, light = np.asarray(shown) > 0, linear(clean)
    yellow = light[..., 0] / (light[..., 2] + 0.02)
    assert np.median(yellow[inside]) < 1.5
    outside = np.asarray(shown.filter(ImageFilter.MaxFilter(31))) > np.asarray(shown.filter(ImageFilter.MaxFilter(9)))
    assert np.median(yellow[outside]) > 3.0


def test_the_corners_are_laid_where_they_were_clicked_and_the_middle_is_bowed(clean: Rendered) -> None:
    flank = ((0.0, 0.0), (0.5, 0.0), (1.0, 0.0), (1.0, 1.0), (0.5, 1.0), (0.0, 1.0))
    corners = [(100.0, 300.0), (500.0, 300.0), (500.0, 200.0), (100.0, 200.0)]
    (ring,) = rings_in_photo(replace(read(clean), outline=(flank,), bow=0.1), corners)
    expected = [(100, 300), (300, 290), (500, 300), (500, 200), (300, 190), (100, 200)]
    assert np.array(ring) == pytest.approx(np.array(expected), abs=1e-6)


def test_taper_that_is_not_told_moves_the_print_along(clean: Rendered) -> None:
    told, untold = read(clean), read(clean, taper=1.0)
    # Corners alone put the middle of a trapezoid where its diagonals cross.
    u = told.patch.centre.along_ratio
    expected = u / (u + (1 - u) * TAPER)
    assert untold.patch.centre.along_ratio == pytest.approx(expected, abs=0.015)


# -- laws --------------------------------------------------------------------------------------------------------------


def test_a_mirrored_photo_gives_the_same_and_swapped_ends_the_mirrored_print(clean: Rendered, photo: Encode) -> None:
    image = opened(clean).transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    corners = [(image.width - 1 - x, y) for x, y in clean.corners]
    upright = read_tooth(photo(image), corners)
    assert_same(upright, read(clean, 1.0))
    toe_root, heel_root, heel_tip, toe_tip = corners
    swapped = read_tooth(photo(image), [heel_root, toe_root, toe_tip, heel_tip])
    assert swapped.patch.centre.along_ratio == pytest.approx(1 - upright.patch.centre.along_ratio, abs=0.01)
    assert swapped.patch.centre.depth_ratio == pytest.approx(upright.patch.centre.depth_ratio, abs=0.015)
    assert swapped.patch.tilt_deg == pytest.approx(-upright.patch.tilt_deg, abs=1.5)


@pytest.mark.parametrize("degrees", [90, 180, 23])
def test_a_turned_photo_with_turned_corners_gives_the_same(clean: Rendered, photo: Encode, degrees: int) -> None:
    image = opened(clean)
    turned = image.rotate(degrees, resample=Image.Resampling.BICUBIC, expand=True)
    turn, middle = math.radians(degrees), ((image.width - 1) / 2, (image.height - 1) / 2)
    corners = [
        (
            (turned.width - 1) / 2 + (x - middle[0]) * math.cos(turn) + (y - middle[1]) * math.sin(turn),
            (turned.height - 1) / 2 - (x - middle[0]) * math.sin(turn) + (y - middle[1]) * math.cos(turn),
        )
        for x, y in clean.corners
    ]
    assert_same(read_tooth(photo(turned), corners), read(clean, 1.0))


@pytest.mark.parametrize("gain", [(0.35,) * 3, (0.6,) * 3, (1.25,) * 3, (1.2, 1.0, 0.8), (0.8, 1.0, 1.25)])
def test_brightness_and_white_balance_do_not_matter(clean: Rendered, photo: Encode, gain: tuple[float, ...]) -> None:
    assert_same(read_tooth(photo(coded(linear(clean) * gain)), clean.corners), read(clean, 1.0))


def test_a_worse_photo_is_less_trusted_or_refused(clean: Rendered, photo: Encode) -> None:
    def trust(image: Image.Image) -> float:
        try:
            return read_tooth(photo(image), clean.corners, toe_to_heel_depth_ratio=TAPER).confidence
        except InputError:
            return 0.0

    image = opened(clean)
    flat = Image.blend(image, Image.new("RGB", image.size, (150, 140, 110)), 0.86)
    noisy = np.asarray(flat, dtype=float) + np.random.default_rng(3).normal(0, 10, (*flat.size[::-1], 3))
    faint = Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8))
    assert trust(image) > trust(faint) + 0.05


# -- what is refused ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda c: [c[0], c[2], c[1], c[3]], "cross"),
        (lambda c: [c[0], c[1], ((c[0][0] + c[1][0]) / 2, (c[0][1] + c[1][1]) / 2), c[3]], "cross or make a dent"),
        (lambda c: [c[0], c[1], (5000.0, 100.0), c[3]], "outside"),
        (lambda c: [(-3.0, 20.0), *c[1:]], "outside"),
        (lambda c: c[:3], "four corners"),
        (lambda c: [(math.nan, 1.0), *c[1:]], "four corners"),
        (lambda c: [(100, 130), (160, 130), (160, 100), (100, 100)], "too small"),
        (lambda c: [c[0]] * 4, "too small"),
    ],
)
def test_corners_that_are_none_of_a_flank_are_refused(
    clean: Rendered, change: Callable[..., object], sentence: str
) -> None:
    with pytest.raises(InputError, match=sentence):
        read_tooth(clean.jpeg, change(list(clean.corners)))  # type: ignore[arg-type]


def test_pictures_that_show_too_little_are_refused_with_their_reason(clean: Rendered, photo: Encode) -> None:
    image = opened(clean)
    pictures = {
        "too dark": coded(linear(clean) * 0.004),
        "glare": Image.new("RGB", image.size, "white"),
        "blurred": image.filter(ImageFilter.GaussianBlur(26)),
        "No print": Image.effect_noise(image.size, 60).convert("RGB"),
    }
    for sentence, picture in pictures.items():
        with pytest.raises(InputError, match=sentence) as refused:
            read_tooth(photo(picture), clean.corners)
        assert refused.value.remedy


def test_a_flank_painted_whole_a_bare_one_and_a_hole_are_no_print() -> None:
    for seed in (30_000, 30_001, 30_004):
        drawn = without_print(seed)
        with pytest.raises(InputError, match=r"No print|blurred"):
            read_tooth(drawn.jpeg, drawn.corners)


def test_compound_brushed_thinner_than_the_rest_is_no_print() -> None:
    drawn = without_print(60_109)
    with pytest.raises(InputError, match="No print"):
        read_tooth(drawn.jpeg, drawn.corners)


def test_files_that_are_no_photo_as_kept_are_refused(clean: Rendered, photo: Encode) -> None:
    files = {
        "damaged|cut short": clean.jpeg[: len(clean.jpeg) // 2],
        "not a picture": b"no picture at all",
        "is empty": b"",
        "more pixels": photo(Image.new("1", (10_000, 10_000)), "PNG"),
        "larger than": photo(Image.new("L", (3000, 2000), 90)),
    }
    for sentence, data in files.items():
        with pytest.raises(InputError, match=sentence):
            read_tooth(data, clean.corners)


@pytest.mark.parametrize("ratios", [{"toe_to_heel_depth_ratio": 0.1}, {"length_to_depth_ratio": math.nan}])
def test_ratios_out_of_range_are_refused(clean: Rendered, ratios: dict[str, float]) -> None:
    with pytest.raises(InputError):
        read_tooth(clean.jpeg, clean.corners, **ratios)


def test_a_grey_photo_is_read_by_brightness_or_refused_but_never_wrong(photo: Encode) -> None:
    drawn = render(Scene(size=SMALL, pigment="blue", glare=0, oil=0))
    grey = photo(opened(drawn).convert("L"))
    reading = read_tooth(grey, drawn.corners, toe_to_heel_depth_ratio=TAPER)
    along, depth = off(reading, drawn)
    assert along < 0.03 and depth < 0.05


def test_the_imaging_library_is_not_loaded_before_a_photo_is_read() -> None:
    script = "import sys, core.tooth_photo; sys.exit('skimage' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0
