"""Three drawings of how hoses are photographed: no hand on them, from which sides, what is shown along them.

Numbers in balloons are explained by the lists beside the drawings, as in
`strut_photo`.
"""

from app.screens.drawings.pen import BAND, Pen
from app.screens.drawings.sheet import Drawing
from app.screens.palette import Palette

_HOSE = "#3b4850"  # rubber by day and by night
_SHINE = "#aeb9bf"


def drawings(colours: Palette) -> tuple[Drawing, Drawing, Drawing]:
    """Return the three drawings in the order in which they are needed."""
    pen = Pen(colours)
    return _no_hand(pen), _sides(pen), _along(pen)


def _hose(pen: Pen, d: str, width: float = 16) -> str:
    """A hose along a course, outlined, with its streak of light."""
    outline = pen.path(d, width=width + 3)
    return outline + pen.path(d, width=width, colour=_HOSE) + pen.path(d, width=2, colour=_SHINE)


def _no_hand(pen: Pen) -> Drawing:
    colours = pen.colours
    hose = _hose(pen, "M20 96 C100 60 150 150 340 104")
    jet = "".join(
        pen.line([(176, 108), (x, y)], width=1.5, colour=colours.outside)
        for x, y in ((150, 196), (176, 204), (202, 196))
    )
    zone = pen.danger("M168 124 L96 250 H256 L186 124Z")
    hand = pen.path(
        "M52 236 C52 216 62 206 78 208 L112 190 C120 186 126 196 118 201 L96 214 C110 222 102 250 82 256 Z",
        fill=colours.paint,
    )
    card = pen.box(262, 150, 64, 40, fill=colours.paint, r=2)
    mirror = pen.disc(300, 226, 17, fill=colours.metal) + pen.line([(312, 238), (338, 262)], width=4)
    marks = pen.cross(66, 190) + pen.tick(342, 168) + pen.tick(342, 222)
    balloons = pen.balloon(1, (28, 262), (76, 240)) + pen.balloon(2, (244, 138), (264, 158))
    more = pen.balloon(3, (244, 262), (288, 238))
    svg = pen.sheet(360, 280, zone, hose, jet, hand, card, mirror, marks, balloons, more)
    alternative = (
        "A hose under pressure with a fine jet from a hole, the space before it hatched. A hand that feels "
        "for the leak is crossed out; a card held to it and a mirror behind it are ticked."
    )
    return Drawing(
        "Hands off while there is pressure",
        alternative,
        svg,
        (
            "Never feel for a leak with the hand: a fine jet goes through skin and glove.",
            "A card or paper shows where it sprays; pressure off before anything is touched.",
            "A mirror and a light show the side that no photo sees.",
        ),
    )


def _sides(pen: Pen) -> Drawing:
    colours = pen.colours
    outer = pen.disc(180, 140, 44, fill=_HOSE) + pen.disc(180, 140, 25, fill=colours.sheet)
    seen = "".join(
        pen.path(d, width=7, colour=colours.accent)
        for d in ("M143 104 A52 52 0 0 1 217 104", "M217 176 A52 52 0 0 1 143 176")
    )
    unseen = "".join(
        pen.path(d, width=3, colour=colours.outside, dash="5 5")
        for d in ("M226 112 A54 54 0 0 1 226 168", "M134 112 A54 54 0 0 0 134 168")
    )
    phones = pen.phone(180, 34, -90) + pen.phone(180, 248, 90)
    rays = "".join(
        pen.line([(180 + 8 * side, lens), (180 + 38 * side, limb)], width=1, colour=colours.soft, dash="3 5")
        for side in (-1, 1)
        for lens, limb in ((46, 100), (236, 180))
    )
    lamp = pen.path("M40 58 L66 44 L72 74Z", fill=BAND) + "".join(
        pen.line([start, end], width=1.25, colour=BAND)
        for start, end in (((76, 52), (122, 94)), ((74, 66), (116, 112)))
    )
    balloons = pen.balloon(1, (240, 48), (205, 94)) + pen.balloon(2, (312, 140), (236, 140))
    more = pen.balloon(3, (30, 104), (62, 72))
    svg = pen.sheet(360, 280, outer, seen, unseen, rays, phones, lamp, balloons, more)
    alternative = (
        "A hose cut across, a phone above it and a phone below it. Each phone sees the side that faces it; "
        "between them a stretch of the round on either side is seen by none and drawn broken."
    )
    return Drawing(
        "One photo, one side",
        alternative,
        svg,
        (
            "Square to the hose, and close. The next photo is taken from its other side.",
            "What no photo shows is looked at with light and mirror, and entered so.",
            "Light from the side, no flash: a streak of light stays a streak, a worn place does not move.",
        ),
    )


def _along(pen: Pen) -> Drawing:
    frame = pen.box(24, 14, 312, 246, fill="none", r=4, width=2)
    other = _hose(pen, "M288 24 C270 90 300 180 264 250", 11)
    hose = _hose(pen, "M36 186 C90 96 150 220 214 150 S296 74 324 88", 20)
    worn = pen.path("M124 164 C132 158 146 160 150 167 C144 173 130 171 124 164Z", fill=_SHINE, width=1)
    balloons = "".join(
        pen.balloon(number, at)
        for number, at in ((1, (46, 170)), (2, (98, 152)), (3, (186, 172)), (4, (238, 118)), (5, (312, 84)))
    )
    svg = pen.sheet(360, 280, other, hose, worn, frame, balloons)
    alternative = (
        "A phone's picture of two hoses that cross. Five numbered places lie along the wider one, from one "
        "end to the other, more of them where it bends; a worn place shines between two of them."
    )
    return Drawing(
        "Show the hose, from end to end",
        alternative,
        svg,
        (
            "Begin at one end of the hose, on its middle.",
            "Go on along it, closer where it bends.",
            "Three places or more: with fewer, no part of it counts as searched.",
            "At a crossing, one place on either side of it.",
            "End where it leaves the picture or meets its fitting. Then the next hose.",
        ),
    )
