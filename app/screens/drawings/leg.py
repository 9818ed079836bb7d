"""A telescopic leg from the front, card beside its piston, as the drawings show it."""

from app.screens.drawings.pen import BAND, Pen

COLLAR_Y = 132.0
"""Height of the collar's lower rim in the drawing."""
BAND_Y = 214.0
"""Height of the band's upper edge in the drawing."""


def leg(pen: Pen, x: float) -> str:
    """Return cylinder, collar, piston with its band, and wheel, about the axis at `x`."""
    paint, metal, rubber = pen.colours.paint, pen.colours.metal, pen.colours.rubber
    return "".join(
        [
            pen.box(x - 36, 8, 72, 100, fill=paint),
            pen.box(x - 27, COLLAR_Y, 54, 142, fill="url(#chrome)"),
            pen.box(x - 44, 104, 88, 28, fill=metal, r=3),
            pen.box(x - 27, BAND_Y, 54, 20, fill=BAND, width=1),
            pen.box(x - 58, 278, 116, 74, fill=rubber, r=26),
            pen.box(x - 30, 258, 60, 64, fill=paint, r=4),
            pen.disc(x, 302, 9, fill=metal),
        ]
    )


def card(pen: Pen, x: float, *, top: float = 54, height: float = 218) -> str:
    """Return the strip card hanging with its upper end at `top`, its left edge at `x`."""
    sheet = pen.box(x, top, 34, height, fill="#ffffff", r=2)
    tags, step = [], 30.0
    for row in range(int((height - 24) // step)):
        y = top + 14 + row * step
        tags.append(f'<rect x="{x + 8}" y="{y}" width="18" height="18" fill="#16191b"/>')
        spot = f'x="{x + 12 + 4 * (row % 2)}" y="{y + 4 + 3 * (row % 3)}"'
        tags.append(f'<rect {spot} width="5" height="5" fill="#fff"/>')
        tags.append(f'<rect x="{x + 11}" y="{y + 11 - 2 * (row % 2)}" width="4" height="4" fill="#fff"/>')
        for side in (x + 2, x + 28):
            tags.append(f'<rect x="{side}" y="{y - 2}" width="4" height="5" fill="#16191b"/>')
            tags.append(f'<rect x="{side}" y="{y + 9}" width="4" height="5" fill="#16191b"/>')
    return sheet + "".join(tags)


def strap(pen: Pen, x: float, card_x: float) -> str:
    """Return the card's soft foot: a strap about the cylinder at axis `x` and the card's upper end."""
    left, right = min(x - 38, card_x), max(x + 38, card_x + 34)
    return pen.box(left, 64, right - left, 15, fill=pen.colours.rubber, r=4)
