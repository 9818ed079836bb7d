"""Three drawings of how a strut is photographed: where to stand, how the card hangs, how high to hold.

Numbers in balloons are explained by the lists beside the drawings, which a
screen shows as text: they can be read aloud, made larger and translated.
"""

from app.screens.drawings.leg import BAND_Y, COLLAR_Y, card, leg, strap
from app.screens.drawings.pen import Pen
from app.screens.drawings.sheet import Drawing
from app.screens.palette import Palette


def drawings(colours: Palette) -> tuple[Drawing, Drawing, Drawing]:
    """Return the three drawings in the order in which they are needed."""
    pen = Pen(colours)
    return _stand(pen), _card(pen), _level(pen)


def _stand(pen: Pen) -> Drawing:
    colours = pen.colours
    outline = pen.path(
        "M180 66 C197 66 203 86 204 108 L204 132 L338 142 L338 176 L204 184 L194 262 L232 268 L232 286 "
        "L186 284 L180 296 L174 284 L128 286 L128 268 L166 262 L156 184 L22 176 L22 142 L156 132 L156 108 "
        "C157 86 163 66 180 66Z",
        fill=colours.paint,
    )
    propeller = pen.danger("M124 26 H236 V66 H124Z")
    blade = pen.line([(128, 58), (232, 58)], width=5)
    doors = pen.danger("M96 150 H128 V196 H96Z") + pen.danger("M232 150 H264 V196 H232Z")
    exhaust = pen.danger("M206 92 L250 78 L250 122 L206 108Z")
    wheels = "".join(
        pen.box(x - 5, y - 11, 10, 22, fill=colours.rubber, r=4)
        for x, y in ((180, 104), (132, 162), (228, 162))
    )
    # Each person stands beside the leg, square to the card, clear of every hatched zone.
    sight = "".join(
        pen.line(course, width=1.5, colour=colours.accent, dash="5 4")
        for course in (((110, 104), (172, 104)), ((132, 232), (132, 176)), ((228, 232), (228, 176)))
    )
    people = pen.feet(98, 104, 90) + pen.feet(132, 246, 0) + pen.feet(228, 246, 0)
    balloons = (
        pen.balloon(1, (60, 80), (90, 98))
        + pen.balloon(2, (272, 40), (234, 46))
        + pen.balloon(3, (290, 96), (250, 100))
        + pen.balloon(4, (300, 216), (256, 190))
    )
    svg = pen.sheet(360, 306, propeller, exhaust, outline, doors, wheels, blade, sight, people, balloons)
    alternative = (
        "An aeroplane from above. Footprints beside the nose leg and behind each main leg show where "
        "to stand; the propeller's arc, the exhaust and the doors that are not pinned are hatched: "
        "nobody stands there."
    )
    return Drawing(
        "Where to stand",
        alternative,
        svg,
        (
            "Stand beside the leg, square to the card, about an arm's length away.",
            "Never in the propeller's arc: it is treated as live.",
            "Never at an inlet or an exhaust.",
            "Never under a door that is not pinned.",
        ),
    )


def _card(pen: Pen) -> Drawing:
    x, card_x = 158.0, 214.0
    span = "".join(pen.line([(x - 96, y), (x - 30, y)], width=1.25) for y in (COLLAR_Y, BAND_Y))
    arrow = pen.path(
        f"M{x - 86} {COLLAR_Y}V{BAND_Y}M{x - 90} {COLLAR_Y + 9}L{x - 86} {COLLAR_Y}L{x - 82} {COLLAR_Y + 9}"
        f"M{x - 90} {BAND_Y - 9}L{x - 86} {BAND_Y}L{x - 82} {BAND_Y - 9}"
    )
    balloons = (
        pen.balloon(1, (310, 44), (244, 72))
        + pen.balloon(2, (310, 176), (250, 186))
        + pen.balloon(3, (34, 173), (x - 88, 173))
        + pen.balloon(4, (34, 250), (x - 20, 244))
    )
    svg = pen.sheet(360, 360, leg(pen, x), card(pen, card_x), strap(pen, x, card_x), span, arrow, balloons)
    alternative = (
        "A leg from the front. The card's strap lies round the painted cylinder; its length hangs beside the "
        "piston from above the collar to below the red band and hides neither."
    )
    return Drawing(
        "Where the card hangs",
        alternative,
        svg,
        (
            "The card's soft foot rests on the painted cylinder, or a helper holds the card.",
            "Its length hangs beside the piston, printed side to the camera.",
            "It spans from the collar to the red band and hides neither: this is what is measured.",
            "Nothing touches the chrome: no metal, magnet, adhesive, and no dry wiping.",
        ),
    )


def _level(pen: Pen) -> Drawing:
    x, colours = 84.0, pen.colours
    level = pen.line([(x + 46, COLLAR_Y), (268, COLLAR_Y)], width=1.75, colour=colours.accent, dash="7 5")
    high = pen.line([(x + 46, COLLAR_Y), (270, 46)], width=1.25, colour=colours.soft, dash="3 5")
    low = pen.line([(x + 46, COLLAR_Y), (270, 252)], width=1.25, colour=colours.soft, dash="3 5")
    phones = pen.phone(286, COLLAR_Y - 4, 0) + pen.phone(286, 40, -22) + pen.phone(286, 258, 28)
    marks = pen.tick(328, COLLAR_Y - 4) + pen.cross(328, 40) + pen.cross(328, 258)
    balloons = pen.balloon(1, (206, COLLAR_Y), None) + pen.balloon(2, (206, 82)) + pen.balloon(3, (206, 200))
    svg = pen.sheet(360, 360, leg(pen, x), level, high, low, phones, marks, balloons)
    alternative = (
        "A leg and a phone from the side. The phone is held level with the collar, or a little above it; "
        "held far above or below, it is crossed out."
    )
    return Drawing(
        "How high the camera is",
        alternative,
        svg,
        (
            "Hold the phone level with the collar or a little above it, and upright.",
            "From far above, the rim is seen from above and its front hides the edge.",
            "From below, the chamfer under the rim may be taken for the rim.",
        ),
    )
