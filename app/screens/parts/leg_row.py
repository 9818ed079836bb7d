"""A leg in a list: where it is on the aircraft, where its item stands, what its photo readings may do."""

from app.inspection import ItemState, LegEntry
from app.screens.drawings.plan import plan
from app.screens.palette import palette_of
from app.screens.parts.markup import drawing, text
from app.screens.parts.words import BASES, ITEM_STATES


def leg_row(leg: LegEntry, state: ItemState, theme: str | None) -> str:
    """Return the markup of one leg."""
    picture = drawing(plan(palette_of(theme), leg.position), "")
    return (
        f'<div class="gw-leg">{picture}<div><b>{text(leg.position.capitalize())}</b>'
        f'<span class="gw-state">{text(ITEM_STATES[state])}</span>'
        f"<small>{text(BASES[leg.basis])}</small></div></div>"
    )
