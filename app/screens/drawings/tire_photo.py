"""Three drawings of how a tire is photographed: when nobody stands there, how high, what is in view.

Numbers in balloons are explained by the lists beside the drawings, as in
`strut_photo`.
"""

from app.screens.drawings.pen import BAND, Pen
from app.screens.drawings.sheet import Drawing
from app.screens.palette import Palette

PAINTED = "#eef1f2"  # on rubber, which is dark by day and by night
_GROUND_Y = 236.0


def drawings(colours: Palette) -> tuple[Drawing, Drawing, Drawing]:
    """Return the three drawings in the order in which they are needed."""
    pen = Pen(colours)
    return _not_beside(pen), _square(pen), _view(pen)


def _from_above(pen: Pen) -> str:
    """A wheel from above, rolling up the sheet, its leg to the right."""
    axle = pen.line([(206, 140), (250, 140)], width=7)
    leg = pen.disc(258, 140, 14, fill=pen.colours.paint)
    tire = pen.box(154, 82, 52, 116, fill=pen.colours.rubber, r=15)
    tread = "".join(pen.line([(x, 90), (x, 190)], width=1, colour=PAINTED) for x in (168, 180, 192))
    return axle + leg + tire + tread


def _not_beside(pen: Pen) -> Drawing:
    left = pen.danger("M154 96 L28 20 V260 L154 184Z")
    right = pen.danger("M206 96 L332 20 V260 L206 184Z")
    people = pen.feet(180, 48, 180) + pen.feet(180, 236, 0)
    balloons = pen.balloon(1, (66, 140), (100, 140)) + pen.balloon(2, (236, 34), (188, 40))
    svg = pen.sheet(360, 280, left, right, _from_above(pen), people, balloons)
    alternative = (
        "A wheel from above. Both sides of the tire are hatched, for nobody stands there while it is hot or "
        "damaged; footprints before and behind it show from where it is approached."
    )
    return Drawing(
        "Hot, damaged or of unknown pressure: no photo",
        alternative,
        svg,
        (
            "Stay away from its sides: a tire that bursts throws its rim there.",
            "Approach from the front or the rear only, and leave it alone until it is cold.",
        ),
    )


def _square(pen: Pen) -> Drawing:
    colours = pen.colours
    ground = pen.line([(20, _GROUND_Y), (340, _GROUND_Y)], width=2.5)
    tire = pen.path(
        f"M52 {_GROUND_Y} C40 214 44 82 52 70 Q60 58 80 58 Q100 58 108 70 C116 82 120 214 108 {_GROUND_Y}Z",
        fill=colours.rubber,
    )
    rim = pen.box(104, 96, 8, 100, fill=colours.paint, r=2)
    line = pen.box(109, 208, 7, 6, fill=PAINTED, width=1)
    level = pen.line([(118, 211), (268, 211)], width=1.75, colour=colours.accent, dash="7 5")
    above = pen.line([(118, 211), (270, 74)], width=1.25, colour=colours.soft, dash="3 5")
    phones = pen.phone(286, 215, 0) + pen.phone(286, 66, -42)
    marks = pen.tick(326, 214) + pen.cross(326, 66)
    balloons = pen.balloon(1, (200, 211), None) + pen.balloon(2, (196, 112))
    svg = pen.sheet(360, 280, ground, tire, rim, line, level, above, phones, marks, balloons)
    alternative = (
        "A wheel from the front, standing on the ground, and a phone beside it. The phone is held low, level "
        "with the line over the ground contact, and square to the wheel; held high up, it is crossed out."
    )
    return Drawing(
        "How high the camera is",
        alternative,
        svg,
        (
            "Crouch, and hold the phone level with the line, square to the wheel, about a metre away.",
            "From high up or from aside the sidewall's bulge shifts line and mark.",
        ),
    )


def _view(pen: Pen) -> Drawing:
    colours = pen.colours
    frame = pen.box(36, 14, 288, 246, fill="none", r=4, width=2)
    ground = pen.line([(44, _GROUND_Y), (316, _GROUND_Y)], width=2.5)
    tire = pen.path(
        f"M146 {_GROUND_Y} C98 226 76 182 76 134 C76 76 122 30 180 30 C238 30 284 76 284 134 "
        f"C284 182 262 226 214 {_GROUND_Y}Z",
        fill=colours.rubber,
    )
    rim = pen.disc(180, 134, 56, fill=colours.paint) + pen.disc(180, 134, 20, fill=colours.sheet)
    bolts = "".join(
        pen.disc(x, y, 4, fill=colours.soft, width=1)
        for x, y in ((180, 98), (211, 116), (211, 152), (180, 170), (149, 152), (149, 116))
    )
    line = pen.line([(146, 220), (214, 220)], width=6, colour=PAINTED)
    mark = pen.path("M205.5 100.1 L229.5 76.1 L238 84.6 L214 108.6Z", fill=BAND)
    balloons = (
        pen.balloon(1, (60, 40), (104, 70))
        + pen.balloon(2, (60, 204), (146, 220))
        + pen.balloon(3, (302, 40), (224, 90))
        + pen.balloon(4, (302, 204), (262, 235))
    )
    svg = pen.sheet(360, 280, ground, tire, rim, bolts, line, mark, frame, balloons)
    alternative = (
        "A phone's picture of a wheel from its side: the whole wheel, the ground under the tire, the line "
        "over the ground contact, and the slip mark painted across tire and rim."
    )
    return Drawing(
        "What is in the picture",
        alternative,
        svg,
        (
            "The whole wheel and all of the rim's edge; no flash, no glare on the rim.",
            "The line moulded or painted over the ground contact, where the tire has one.",
            "The slip mark across tire and rim, both parts of it, wiped clean.",
            "The ground on both sides of the contact: what is level is told by it.",
        ),
    )
