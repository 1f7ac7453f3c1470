"""A print read from a photo through the workshop: kept as a trial's outline, its numbers following; or refused."""

from __future__ import annotations

from typing import Any

import pytest
from tooth_renderer import Print, Rendered, Scene, render

from core.errors import ConflictError, InputError, RuleError
from core.outlines import read_outline, write_outline
from core.stages.tooth import tooth_of
from core.workshop.photo_prints import taper_of

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
    workshop.keep_print(job.id, "drive", 2, found, person=TAM, seen=0)
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
        workshop.keep_print(job.id, "drive", 1, found, person=TAM, seen=0)
    assert end_of_trail(workshop) == before


def test_only_a_photo_of_the_contact_stage_that_counts_is_read(
    workshop: Any, job: Any, photo: Any, rendered: Rendered
) -> None:
    found = workshop.read_print(photo.id, rendered.corners)
    with pytest.raises(RuleError, match="another job"):
        workshop.keep_print(job.id + 1, "drive", 1, found, person=TAM)
    workshop.strike_photo(photo.id, reason="another unit")
    with pytest.raises(RuleError, match="was struck"):
        workshop.read_print(photo.id, rendered.corners)
    with pytest.raises(RuleError, match="was struck"):
        workshop.keep_print(job.id, "drive", 1, found, person=TAM)
    bare = render(Scene(size=(400, 300), seed=4))
    elsewhere = workshop.add_photo(job.id, bare.jpeg, stage="teardown")
    with pytest.raises(RuleError, match="contact stage"):
        workshop.read_print(elsewhere.id, bare.corners)
    assert workshop.state(job.id).context.reading(STAGE, "drive_outline", trial=1) is None
