"""Two drawings of how a surface is photographed and shown: the light, and the piece that is searched.

Numbers in balloons are explained by the lists beside the drawings, as in
`strut_photo`.
"""

from app.screens.drawings.pen import BAND, Pen
from app.screens.drawings.sheet import Drawing
from app.screens.palette import Palette


def drawings(colours: Palette) -> tuple[Drawing, Drawing]:
    """Return the two drawings in the order in which they are needed."""
    pen = Pen(colours)
    return _light(pen), _region(pen)


def _light(pen: Pen) -> Drawing:
    colours = pen.colours
    skin = pen.box(30, 206, 300, 18, fill=colours.metal)
    rub = pen.path("M150 206 C160 199 186 199 196 206Z", fill=colours.paint, width=1)
    phone = pen.phone(173, 60, -90)
    rays = "".join(
        pen.line([(173 + 6 * side, 74), (173 + 96 * side, 202)], width=1, colour=colours.soft, dash="3 5")
        for side in (-1, 1)
    )
    lamp = pen.path("M24 176 L46 158 L56 184Z", fill=BAND)
    flat = "".join(
        pen.line([start, end], width=1.25, colour=BAND)
        for start, end in (((60, 172), (142, 196)), ((60, 182), (130, 202)))
    )
    above = pen.path("M262 64 L286 52 L288 80Z", fill=colours.paint)
    mirrored = pen.line([(262, 82), (226, 202), (190, 84)], width=1.25, colour=colours.outside, dash="6 4")
    marks = pen.tick(40, 138) + pen.cross(318, 66)
    balloons = pen.balloon(1, (118, 48), (158, 58)) + pen.balloon(2, (88, 138), (88, 176))
    more = pen.balloon(3, (296, 132), (244, 142))
    svg = pen.sheet(360, 260, skin, rub, rays, phone, lamp, flat, above, mirrored, marks, balloons, more)
    alternative = (
        "A panel seen from its edge, a phone square above it. A lamp held low at the side lights it flat and "
        "is ticked; a lamp above, whose light is mirrored by the panel into the phone, is crossed out."
    )
    return Drawing(
        "Square and close, the light flat",
        alternative,
        svg,
        (
            "The phone square to the surface and close; all of it sharp, clean and dry.",
            "A lamp held low at the side: a rub, a scratch and an edge show best in flat light.",
            "No flash, and no lamp that is mirrored in the surface: its streak hides what lies under it.",
        ),
    )


def _region(pen: Pen) -> Drawing:
    colours = pen.colours
    frame = pen.box(24, 14, 312, 232, fill=colours.metal, r=4, width=2)
    other = pen.path("M24 60 C120 40 240 66 336 40 V14 H24Z", fill=colours.paint, width=1)
    region = pen.path("M70 86 H296 V214 H70Z", width=2.5, colour=colours.accent, dash="9 6")
    corners = "".join(pen.disc(x, y, 5, fill=colours.accent) for x, y in ((70, 86), (296, 214)))
    rub = pen.path("M150 150 C160 140 190 142 198 152 C188 164 160 162 150 150Z", fill=colours.paint, width=1)
    balloons = pen.balloon(1, (46, 104), (68, 88)) + pen.balloon(2, (316, 190), (298, 211))
    more = pen.balloon(3, (236, 46))
    svg = pen.sheet(360, 260, frame, other, region, corners, rub, balloons, more)
    alternative = (
        "A phone's picture of a panel with a rub mark. A broken rectangle about its middle is told "
        "by two numbered opposite corners; an edge of another part at the top lies outside it."
    )
    return Drawing(
        "Show the piece that is searched",
        alternative,
        svg,
        (
            "One corner of the piece.",
            "The opposite corner; or go round it with three corners and more.",
            "Other parts stay outside. What is not shown is not searched.",
        ),
    )
