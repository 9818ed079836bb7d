"""The drawn guide and the card of cautions, as markup."""

from collections.abc import Iterable

from app.screens.drawings import hose_photo, strut_photo, surface_photo, tire_photo
from app.screens.drawings.sheet import Drawing
from app.screens.palette import palette_of
from app.screens.parts.markup import drawing, text
from app.screens.parts.statements import BEFORE_FIRST_PHOTO, NEVER_REPLACES


def before_first_photo() -> str:
    """Return the card of cautions that stands before the first photo."""
    lines = "".join(f"<li>{text(line)}</li>" for line in BEFORE_FIRST_PHOTO)
    return (
        '<section class="gw-card" aria-label="Before the first photo"><h2>Before the first photo</h2>'
        f"<ul>{lines}</ul><p>{text(NEVER_REPLACES)}</p></section>"
    )


def drawn_guide(theme: str | None) -> str:
    """Return the strut's three drawings with their lists, side by side where there is room."""
    return _drawn(strut_photo.drawings(palette_of(theme)))


def drawn_tire_guide(theme: str | None) -> str:
    """Return the tire's three drawings with their lists, side by side where there is room."""
    return _drawn(tire_photo.drawings(palette_of(theme)))


def drawn_hose_guide(theme: str | None) -> str:
    """Return the hoses' three drawings with their lists, side by side where there is room."""
    return _drawn(hose_photo.drawings(palette_of(theme)))


def drawn_surface_guide(theme: str | None) -> str:
    """Return a surface's two drawings with their lists, side by side where there is room."""
    return _drawn(surface_photo.drawings(palette_of(theme)))


def _drawn(found: Iterable[Drawing]) -> str:
    return f'<div class="gw-guide">{"".join(_part(one) for one in found)}</div>'


def _part(one: Drawing) -> str:
    items = "".join(f"<li>{text(line)}</li>" for line in one.list)
    return f"<section><h3>{text(one.title)}</h3>{drawing(one.svg, one.alternative)}<ol>{items}</ol></section>"
