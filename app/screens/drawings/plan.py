"""An aeroplane from above with its three legs, one of them marked."""

from app.screens.drawings.pen import Pen
from app.screens.palette import Palette

LEGS = {"nose": (48, 30), "left main": (28, 53), "right main": (68, 53)}
"""Where the usual legs are; a leg of another name is not marked."""

_OUTLINE = (
    "M48 8 C55 8 57 16 57 24 L57 38 L94 44 L94 56 L57 60 L53 80 L65 83 L65 90 L48 89 "
    "L31 90 L31 83 L43 80 L39 60 L2 56 L2 44 L39 38 L39 24 C39 16 41 8 48 8Z"
)


def plan(colours: Palette, position: str) -> str:
    """Return the drawing, 96 by 96 units, with the leg at `position` marked."""
    pen = Pen(colours)
    legs = "".join(
        pen.disc(x, y, 9, fill=colours.accent, width=2)
        if name == position
        else pen.disc(x, y, 4, fill=colours.sheet, width=1.25)
        for name, (x, y) in LEGS.items()
    )
    return pen.sheet(96, 96, pen.path(_OUTLINE, fill=colours.paint, width=1.25), legs, ground=False)
