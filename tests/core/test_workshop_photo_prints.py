"""A print read from a photo through the workshop: kept as a trial's outline, its numbers following; or refused."""

from __future__ import annotations

from dataclasses import replace
from itertools import count
from statistics import stdev
from typing import Any

import pytest
from tooth_renderer import Print, Rendered, Scene, render

from core.errors import ConflictError, InputError, RuleError
from core.outlines import read_outline, write_outline
from core.stages.tooth import LEAST_TOE_SHARE, Tooth, tooth_of
from core.tooth_photo import read_tooth
from core.workshop.photo_prints import MOST_TEETH, PhotoPrint, flank_shown, others_to_read, taper_of, together

TAM = "Tam Ollerby"
STAGE = "contact_pattern"


def tooth_scene(job: Any) -> Scene:
    """Return an easy photo of this job's tooth."""
    return Scene(
        size=(800, 600),
        prints=(Print(along=0.38, depth=0.56, turn_deg=6.0),),
        taper=taper_of(tooth_of(job)),
        bow=0.0,
        oil=0,
        glare=0,
    )


@pytest.fixture
def rendered(job: Any) -> Rendered:
    return render(tooth_scene(job))


@pytest.fixture
def photo(workshop: Any, job: Any, rendered: Rendered) -> Any:
    return workshop.add_photo(job.id, rendered.jpeg, stage=STAGE, caption="drive side")


def end_of_trail(workshop: Any) -> tuple[int, str]:
    with workshop._logbook.look() as work:
        return tuple(work.head())


def test_what_is_read_is_kept_as_the_outline_of_a_trial(
    workshop: Any, job: Any, photo: Any, rendered: Rendered
) -> None:
    before = end_of_trail(workshop)
    found = workshop.read_print(photo.id, rendered.corners)
    assert end_of_trail(workshop) == before
    assert found.reading.confidence > 0.8
    workshop.keep_print(job.id, "drive", 2, together([found]), person=TAM, seen=0)
    context = workshop.state(job.id).context
    kept = context.reading(STAGE, "drive_outline", trial=2)
    assert (kept.text, kept.person, kept.source) == (write_outline(found.reading.outline), TAM, "photo")
    assert read_outline(kept.text)
    share = f"{100 * found.reading.confidence:.0f}"
    corners = "; ".join(f"{x:.0f} {y:.0f}" for x, y in rendered.corners)
    assert kept.reason == f"Read from photo {photo.id}; confidence {share} %; corners {corners}"
    along, depth = (context.value(STAGE, f"drive_{end}", trial=2) for end in ("along", "depth"))
    # What a reading is said to be within.
    assert along == pytest.approx(rendered.centre[0], abs=0.03)
    assert depth == pytest.approx(rendered.centre[1], abs=0.04)
    assert context.reading(STAGE, "coast_outline", trial=2) is None


def test_the_outline_lies_in_the_photo_where_the_print_is(workshop: Any, photo: Any, rendered: Rendered) -> None:
    found = workshop.read_print(photo.id, rendered.corners)
    across, down = ([point[i] for ring in found.in_photo for point in ring] for i in (0, 1))
    xs, ys = zip(*rendered.corners, strict=True)
    assert min(xs) < min(across) < max(across) < max(xs)
    assert min(ys) < min(down) < max(down) < max(ys)


def test_a_refusal_says_what_to_do_and_writes_nothing(workshop: Any, job: Any, photo: Any, rendered: Rendered) -> None:
    before = end_of_trail(workshop)
    a, b, c, d = rendered.corners
    for corners, sentence in (((a, c, b, d), "cross or make a dent"), ((a, b, c), "four corners")):
        with pytest.raises(InputError, match=sentence):
            workshop.read_print(photo.id, corners)
    bare = render(Scene(size=(800, 600), prints=(), coat=0.0, oil=0, glare=0))
    other = workshop.add_photo(job.id, bare.jpeg, stage=STAGE)
    after = end_of_trail(workshop)
    with pytest.raises(InputError, match="No print can be told"):
        workshop.read_print(other.id, bare.corners)
    assert before != after == end_of_trail(workshop)


def test_nobody_replaces_a_print_not_seen(workshop: Any, job: Any, photo: Any, rendered: Rendered) -> None:
    found = workshop.read_print(photo.id, rendered.corners)
    workshop.record(job.id, STAGE, "drive_outline", "20 20; 60 20; 60 60", trial=1, person="Jory Pell")
    before = end_of_trail(workshop)
    with pytest.raises(ConflictError, match="Jory Pell"):
        workshop.keep_print(job.id, "drive", 1, together([found]), person=TAM, seen=0)
    assert end_of_trail(workshop) == before


def test_only_a_photo_of_the_contact_stage_that_counts_is_read(
    workshop: Any, job: Any, photo: Any, rendered: Rendered
) -> None:
    found = workshop.read_print(photo.id, rendered.corners)
    with pytest.raises(RuleError, match="another job"):
        workshop.keep_print(job.id + 1, "drive", 1, together([found]), person=TAM)
    workshop.strike_photo(photo.id, reason="another unit")
    with pytest.raises(RuleError, match="was struck"):
        workshop.read_print(photo.id, rendered.corners)
    with pytest.raises(RuleError, match="was struck"):
        workshop.keep_print(job.id, "drive", 1, together([found]), person=TAM)
    bare = render(Scene(size=(400, 300), seed=4))
    elsewhere = workshop.add_photo(job.id, bare.jpeg, stage="backlash")
    with pytest.raises(RuleError, match="stage without a contact print"):
        workshop.read_print(elsewhere.id, bare.corners)
    assert workshop.state(job.id).context.reading(STAGE, "drive_outline", trial=1) is None


# -- several teeth, and the unit as found ------------------------------------------------------------------------------


def further(workshop: Any, job: Any, along: float, **place: Any) -> tuple[Any, Rendered]:
    """Return a photo of another tooth of the same job whose print lies elsewhere along."""
    scene = replace(tooth_scene(job), prints=(Print(along=along, depth=0.5),), seed=3)
    drawn = render(scene)
    return workshop.add_photo(job.id, drawn.jpeg, **{"stage": STAGE, **place}), drawn


def test_the_mean_of_two_teeth_lies_half_way_and_their_scatter_is_kept(
    workshop: Any, job: Any, photo: Any, rendered: Rendered
) -> None:
    other, drawn = further(workshop, job, 0.48)
    found = [workshop.read_print(photo.id, rendered.corners), workshop.read_print(other.id, drawn.corners)]
    both = together(found)
    places = [each.reading.patch.centre.along_ratio for each in found]
    assert both.mean.scatter is not None and both.mean.scatter.along_ratio == pytest.approx(stdev(places))
    workshop.keep_print(job.id, "coast", 1, both, person=TAM)
    context = workshop.state(job.id).context
    kept = context.reading(STAGE, "coast_outline", trial=1)
    assert context.value(STAGE, "coast_along", trial=1) == pytest.approx(sum(places) / 2, abs=0.006)
    assert kept.text == write_outline(both.mean.outline) and kept.source == "photo"
    assert kept.reason.startswith(f"Mean of 2 teeth, tooth to tooth ± {100 * stdev(places):.1f} % along, ± ")
    assert all(each.reason in kept.reason for each in found)


def test_a_tooth_is_not_counted_twice_nor_too_many(workshop: Any, photo: Any, rendered: Rendered) -> None:
    found = workshop.read_print(photo.id, rendered.corners)
    beside = replace(found, corners=tuple((x + 9.0, y + 6.0) for x, y in found.corners))
    with pytest.raises(InputError, match="read already"):
        together([found, beside])
    elsewhere = [
        replace(found, corners=tuple((x, y + 300.0 * n) for x, y in found.corners)) for n in range(MOST_TEETH + 1)
    ]
    most = together(elsewhere[:-1])
    assert len(most.teeth) == MOST_TEETH and read_outline(write_outline(most.outline))
    with pytest.raises(InputError, match="teeth are read"):
        together(elsewhere)


def test_one_struck_photo_among_several_keeps_nothing(workshop: Any, job: Any, photo: Any, rendered: Rendered) -> None:
    found = workshop.read_print(photo.id, rendered.corners)
    other, _ = further(workshop, job, 0.48)
    both = together([found, PhotoPrint(other, found.corners, found.reading, found.in_photo)])
    workshop.strike_photo(other.id, reason="another unit")
    before = end_of_trail(workshop)
    with pytest.raises(RuleError, match=f"Photo {other.id} was struck"):
        workshop.keep_print(job.id, "drive", 1, both, person=TAM)
    assert end_of_trail(workshop) == before


def test_the_pattern_as_found_is_read_and_kept_at_teardown(workshop: Any, job: Any, rendered: Rendered) -> None:
    photo = workshop.add_photo(job.id, rendered.jpeg, stage="teardown", entry="contact_coast_along")
    elsewhere, _ = further(workshop, job, 0.48)
    assert flank_shown(photo) == "coast"
    found = workshop.read_print(photo.id, rendered.corners)
    workshop.keep_print(job.id, "coast", 0, together([found]), person=TAM, seen=0)
    context = workshop.state(job.id).context
    kept = context.reading("teardown", "contact_coast_outline")
    assert (kept.text, kept.source) == (write_outline(found.reading.outline), "photo")
    assert context.value("teardown", "contact_coast_along") == pytest.approx(rendered.centre[0], abs=0.03)
    assert context.reading(STAGE, "coast_outline", trial=1) is None
    contact = PhotoPrint(elsewhere, found.corners, found.reading, found.in_photo)
    with pytest.raises(RuleError, match="different stages"):
        workshop.keep_print(job.id, "coast", 0, together([found, contact]), person=TAM)


def test_only_photos_that_may_show_the_same_flank_in_the_same_trial_are_turned_to(workshop: Any, job: Any) -> None:
    seeds = count(1)

    def add(**place: Any) -> int:
        return workshop.add_photo(job.id, render(Scene(size=(200, 150), seed=next(seeds))).jpeg, **place).id

    first = add(stage=STAGE)
    same = add(stage=STAGE, entry="drive_along", trial=2)
    add(stage=STAGE, entry="coast_along", trial=2)
    add(stage=STAGE, entry="drive_along", trial=1)
    add(stage="teardown")
    struck = add(stage=STAGE)
    workshop.strike_photo(struck, reason="blurred", person=TAM)
    photos = workshop.photos(job.id)
    shown = next(photo for photo in photos if photo.id == first)
    assert [photo.id for photo in others_to_read(photos, shown, 2, "drive")] == [first, same]


@pytest.mark.parametrize("share", [LEAST_TOE_SHARE, 0.999])
def test_every_taper_a_card_can_give_is_read(clean_taper: Any, share: float) -> None:
    taper = taper_of(Tooth(toe_share=share))
    drawn = clean_taper(taper)
    reading = read_tooth(drawn.jpeg, drawn.corners, toe_to_heel_depth_ratio=taper)
    assert reading.patch.centre.along_ratio == pytest.approx(drawn.centre[0], abs=0.03)


@pytest.fixture
def clean_taper() -> Any:
    return lambda taper: render(Scene(size=(800, 600), prints=(Print(along=0.55),), taper=taper, oil=0, glare=0))
