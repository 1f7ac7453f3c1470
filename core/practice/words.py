"""What a question says of itself, and what is said of an answer: numbers of the prints, the move, and why."""

from __future__ import annotations

from core.language import mark, tr
from core.mechanics.contact import Flank, Misalignment
from core.mechanics.contact.geometry import Cut
from core.mechanics.pattern import ALONG_BAND, DEPTH_BAND, Direction, PatternAdvice, read_pattern, sources_words
from core.practice.grading import Grade, Graded, is_better, ways_of
from core.practice.question import BACKLASH_MM, LEAVE, WELL, Level, Look, Question, Setting
from core.practice.sitting import IN_A_ROW, Sitting
from core.quantities import number, show

CAUTION = mark(
    "Practice on invented gears, turned without load. At the bench the maker's manual for the unit comes first."
)
LEVEL_WORDS = {
    Level.CENTRED: mark("centred or not"),
    Level.PLAIN: mark("one gear is off"),
    Level.MIXED: mark("both gears are off"),
    Level.NONE_HELPS: mark("anything, also what no setting helps"),
    Level.HOW_FAR: mark("how far"),
}
ASKED = {
    Level.CENTRED: mark("Look at both prints: are they centred, or must something be moved?"),
    Level.PLAIN: mark("One of the gears is off. Which one, and which way must it be moved?"),
    Level.MIXED: mark("Both gears are off. Which way must each be moved?"),
    Level.NONE_HELPS: mark("Say what is to be moved and which way, or that no setting helps."),
    Level.HOW_FAR: mark("Say what is to be moved, which way and how far."),
}
GRADE_WORDS = {Grade.FULL: mark("Right."), Grade.PARTLY: mark("Partly right."), Grade.WRONG: mark("Not right.")}
_FIRST = {Flank.DRIVE: mark("Drive side"), Flank.COAST: mark("Coast side")}
FLANKS = {Flank.DRIVE: mark("drive side"), Flank.COAST: mark("coast side")}
_CUTS = {Cut.GENERATED: mark("generated"), Cut.FORMED: mark("formed")}
_AGREED = {
    Direction.PINION_IN: (-1, 0),
    Direction.PINION_OUT: (1, 0),
    Direction.RING_GEAR_AWAY: (0, 1),
    Direction.RING_GEAR_TOWARD: (0, -1),
}
"""Which way pinion and ring gear go by each direction the manuals agree on."""

TWO_PATCHES = mark(
    "Why: the common centre of two patches lies where nothing touches, so it says little of where the gears stand. Two "
    "patches say something of the tooth or of the print: a tooth hollow or bent, cut or ground unevenly, a burr, or "
    "compound that was thick in places. The shape is looked at first, the centre after it."
)
"""The lesson of a print in two patches (common practice)."""

_TRIED_MM = 0.05
"""How far a gear is moved to tell what that does here [mm]."""


def key_words() -> str:
    """Say what is drawn over a print once it was answered."""
    return tr(
        "Cross: the print's centre. Box: where it belongs, {along_low} – {along_high} % from the toe and {depth_low} – "
        "{depth_high} % from the root side; nearer the toe, for under load a print grows toward the heel.",
        along_low=_percent(ALONG_BAND[0]),
        along_high=_percent(ALONG_BAND[1]),
        depth_low=_percent(DEPTH_BAND[0]),
        depth_high=_percent(DEPTH_BAND[1]),
    )


def score_words(sitting: Sitting, person: str = "") -> str:
    """Say how a sitting goes: what was right, and what leads to the next level."""
    told = tr("{right} of {asked} right", right=sitting.right, asked=sitting.asked) if sitting.asked else ""
    if sitting.partly:
        told = tr("{told}, {partly} partly right", told=told, partly=sitting.partly)
    if told and person:
        told = tr("{person}, since the window was opened: {told}", person=person, told=told)
    if sitting.level is max(Level):
        level = tr("Level {level}, the last.", level=int(sitting.level))
    else:
        level = tr(
            "Level {level}: {needed} right in a row lead to level {next}, {so_far} so far.",
            level=int(sitting.level),
            needed=IN_A_ROW,
            next=sitting.level + 1,
            so_far=sitting.in_a_row,
        )
    return tr("{told}. {level}", told=told, level=level) if told else level


def set_words(question: Question) -> str:
    """Return the invented set in one line, with its backlash: it is measured, so it is told."""
    drawn = question.pair.gear_set
    with_offset = (
        tr("with {offset} of offset", offset=show("length", drawn.offset_mm, "mm", 0))
        if drawn.offset_mm
        else tr("without offset")
    )
    return tr(
        "Invented set {teeth}, {offset}, {cut}. Mean backlash {now}, wanted {low} – {high}.",
        teeth=f"{drawn.ring_gear_teeth} : {drawn.pinion_teeth}",
        offset=with_offset,
        cut=tr(_CUTS[drawn.cut]),
        now=show("length", question.now.backlash_mm, "mm", 2),
        low=number("length", BACKLASH_MM[0], "mm", 2),
        high=show("length", BACKLASH_MM[1], "mm", 2),
    )


def print_words(look: Look) -> str:
    """Return both prints in numbers: centre, reach and which edges they run off."""
    return " ".join(_flank_words(look, flank) for flank in Flank)


def _flank_words(look: Look, flank: Flank) -> str:
    found, patches = look.prints[flank], look.patches[flank]
    said = tr(
        "{flank}: centre {along} % from the toe and {depth} % from the root side, {length} % long, {height} % high.",
        flank=tr(_FIRST[flank]),
        along=_percent(found.centre.along_ratio),
        depth=_percent(found.centre.depth_ratio),
        length=_percent(found.along_extent_ratio),
        height=_percent(found.depth_extent_ratio),
    )
    return said if patches == 1 else tr("{said} It lies in {count} patches.", said=said, count=patches)


def setting_words(setting: Setting) -> str:
    """Return a move in words."""
    if setting == LEAVE:
        return tr("leave both")
    return tr("{pinion}, {gear}", pinion=_pinion_words(setting[0]), gear=_gear_words(setting[1]))


def _pinion_words(move_mm: float) -> str:
    if move_mm == 0.0:
        return tr("the pinion stays")
    far = show("length", abs(move_mm), "mm", 2)
    if move_mm > 0.0:
        return tr("the pinion {far} away from the ring gear's axis", far=far)
    return tr("the pinion {far} toward the ring gear's axis", far=far)


def _gear_words(move_mm: float) -> str:
    if move_mm == 0.0:
        return tr("the ring gear stays")
    far = show("length", abs(move_mm), "mm", 2)
    if move_mm > 0.0:
        return tr("the ring gear {far} away from the pinion", far=far)
    return tr("the ring gear {far} toward the pinion", far=far)


def graded_words(graded: Graded) -> tuple[str, ...]:
    """Return what is said of an answer, each a sentence or two: worth, what is right, what it did, why, the manuals."""
    said = [_worth_words(graded), *_tried_words(graded), *why_words(graded.question), *_manuals_words(graded.question)]
    return tuple(sentence for sentence in said if sentence)


def _worth_words(graded: Graded) -> str:
    question, verdict = graded.question, tr(GRADE_WORDS[graded.grade])
    if question.level is Level.CENTRED:
        right = tr("Both prints are centred.") if question.now.miss <= WELL else _off_words(question.now)
    elif question.hollow is not None:
        right = tr(
            "The print on the {flank} lies in two patches, and no setting makes one of them: take a second print with "
            "little compound, and if it comes out so again, check the gears before anything is moved.",
            flank=tr(FLANKS[question.hollow]),
        )
    elif question.right is None:
        right = tr(
            "No setting of pinion and ring gear brings both prints there: check that the gears belong together, the "
            "pinion's offset and the carrier, and print again."
        )
    elif question.right == LEAVE:
        right = tr("Both prints are centred and the backlash is right: leave it.")
    else:
        right = tr("The shortest move that centres both here: {move}.", move=setting_words(question.right))
    return tr("{verdict} {right}", verdict=verdict, right=right)


def _off_words(look: Look) -> str:
    """Name which centres lie outside their bands."""
    named = []
    for flank, found in look.prints.items():
        words = (
            _side(found.centre.along_ratio, ALONG_BAND, mark("at the toe"), mark("at the heel")),
            _side(found.centre.depth_ratio, DEPTH_BAND, mark("low"), mark("high")),
        )
        named += [tr("{flank} {where}", flank=tr(FLANKS[flank]), where=tr(word)) for word in words if word]
    return tr("Not centred: {named}.", named=", ".join(named))


def _side(share: float, band: tuple[float, float], below: str, above: str) -> str:
    return below if share < band[0] else above if share > band[1] else ""


def _tried_words(graded: Graded) -> list[str]:
    after, tried = graded.after, graded.tried
    if after is None or tried is None or tried == graded.question.right:
        return []
    if graded.question.hollow is not None:
        outcome = tr("what the print says of the tooth is still there")
    elif after.miss <= 1.0 and graded.grade is Grade.PARTLY:
        outcome = tr("everything is where it should be, but a gear is moved that could stay")
    elif after.miss <= 1.0:
        outcome = tr("everything is where it should be")
    elif is_better(graded.question, after):
        outcome = tr("things are nearer, but not there")
    else:
        outcome = tr("things are no better than before")
    return [
        tr(
            "Your answer, tried with {move}: {outcome}. {prints} Backlash {backlash}.",
            move=setting_words(tried),
            outcome=outcome,
            prints=print_words(after),
            backlash=show("length", after.backlash_mm, "mm", 2),
        )
    ]


def why_words(question: Question) -> list[str]:
    """Say what each gear does: the two effects that hold for every set, and what else it does on this one."""
    if question.hollow is not None:
        return [tr(TWO_PATCHES)]
    moved = (1, 1) if question.right is None else ways_of(question.right)
    if question.level is Level.CENTRED or moved == (0, 0):
        return []
    said = []
    if moved[0]:
        low, high = _effect(question, (_TRIED_MM, 0.0))
        said.append(
            tr(
                "Why: the pinion away takes both prints toward the face on every set, toward takes them down; "
                "along the tooth it depends on the set. {far} away here: {drive}; {coast}.",
                far=show("length", _TRIED_MM, "mm", 2),
                drive=low,
                coast=high,
            )
        )
    if moved[1]:
        low, high = _effect(question, (0.0, _TRIED_MM))
        said.append(
            tr(
                "A print hardly tells where the ring gear stands; the measured backlash does. The ring gear away takes "
                "the drive print toward the heel on every set; what else it does depends on the set. {far} away here: "
                "{drive}; {coast}; backlash + {backlash}.",
                far=show("length", _TRIED_MM, "mm", 2),
                drive=low,
                coast=high,
                backlash=show("length", _TRIED_MM * question.rates[1], "mm", 2),
            )
        )
    return said


def _effect(question: Question, setting: Setting) -> tuple[str, str]:
    """Say where a small move from where the teeth are conjugate takes both centres, drive first."""
    told = []
    for flank in Flank:
        crown = question.crowns[flank]
        before = question.pair.patch(flank, Misalignment(), crown).centre
        then = question.pair.patch(flank, Misalignment(*setting), crown).centre
        told.append(
            tr(
                "{flank} {along} % along and {depth} % in depth",
                flank=tr(FLANKS[flank]),
                along=_signed(then.along_ratio - before.along_ratio),
                depth=_signed(then.depth_ratio - before.depth_ratio),
            )
        )
    return told[0], told[1]


def _manuals_words(question: Question) -> list[str]:
    """Say what the manuals have for these prints, whether the computed move agrees, and where the manuals disagree."""
    if question.level is Level.CENTRED:
        return []
    # Nobody is asked for a shim here.
    asked = [item for item in _plain(question) if item.direction is not Direction.ASK_SHIM_PLACE]
    said = " ".join(tr(item.text) for item in asked)
    if question.hollow is not None:
        return [tr("Read by their centres alone, the manuals would have for these prints: {said}", said=said)]
    said = tr("The manuals have for these prints: {said}", said=said)
    named = [_AGREED[item.direction] for item in asked if item.direction in _AGREED]
    if named and question.right is not None:
        right = ways_of(question.right)
        is_same = all(right[at] == way for ways in named for at, way in enumerate(ways) if way)
        if is_same:
            said = tr("{said} The move computed for this set goes the same way.", said=said)
        else:
            said = tr("{said} The move computed for this set differs: here the set and its backlash decide.", said=said)
    return [said, " ".join(sources_words(asked))]


def _plain(question: Question) -> tuple[PatternAdvice, ...]:
    prints = question.now.prints
    return read_pattern(prints[Flank.DRIVE].centre, prints[Flank.COAST].centre)


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f}"


def _signed(share: float) -> str:
    """Return a change in percent with its sign."""
    return f"{round(100.0 * share):+d}".replace("-", "−").replace("+0", "±0")
