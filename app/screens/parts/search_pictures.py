"""Pictures of places on searched photos, and words for a hose's stretches; the routes ask who may see them.

A picture is shown at one pixel of the screen for each of its own or larger, because what is to be
judged must not be made smaller: the browser is told the same picture for every density of screen, so
that its width is counted in the screen's own pixels, and what is wider than the page is scrolled.
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import hypot
from typing import Any

from app.inspection.rounds.search_kinds import HOSES, SearchKind
from app.screens.parts.markup import text
from vision.overlay.hose_length import letter_of

_DENSITIES = (1, 2, 3, 4)


def place_html(
    try_id: str, place: str, *, lines: bool, words: str, straight: bool = True, kind: SearchKind = HOSES
) -> str:
    """Return a place in the photo; below it, where `straight`, along its hose or where in its region."""
    photo = _true(_address(kind, try_id, place, "photo", lines), f"The photo about {words}")
    if not straight:
        return photo
    if not kind.of_leg:
        return photo + _where(f"/surfaces/{try_id}/where/{place}", f"Where on the surface {words} lies")
    beside = _address(kind, try_id, place, "straight", lines)
    return photo + _true(beside, f"The hose laid straight about {words}")


def small_html(try_id: str, place: str, words: str, *, kind: SearchKind = HOSES) -> str:
    """Return a place in the photo, small, for a list: what leads to the judging, not what is judged."""
    source = text(_address(kind, try_id, place, "photo", True))
    return f'<img class="gw-place-small" src="{source}" alt="{text(words)}" loading="lazy">'


def row_html(try_id: str, place: str, *, head: str, what: str, beside: str, kind: SearchKind = HOSES) -> str:
    """Return a place in a list: its small picture, `head` in bold, what it is, and what is told of it."""
    return (
        f'<div class="gw-found"><div class="gw-thumb">{small_html(try_id, place, what, kind=kind)}</div>'
        f"<div><b>{text(head)}</b><span>{text(what)}</span>"
        f'<span class="gw-note">{text(beside)}</span></div></div>'
    )


def length_html(try_id: str, hose: int, name: str) -> str:
    """Return a whole hose laid straight with what was not searched hatched."""
    words = f"{name or 'The hose'} over its whole length in this photo; what was not searched is hatched"
    return _true(f"/hoses/{try_id}/length/{hose}", words)


def region_html(try_id: str) -> str:
    """Return the region of a surface, crossed where it was not searched."""
    return _where(f"/surfaces/{try_id}/region", "The region in this photo; what was not searched is crossed")


def stretches(hose: Mapping[str, Any]) -> tuple[str, ...]:
    """Return each stretch that was not searched at all, with its letter, in mm or in shares of the length."""
    line: Sequence[Sequence[float]] = hose["centre_line_px"]
    length_px = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line))
    diameter = hose.get("diameter_mm")
    mm = length_px * diameter / hose["width_px"] if diameter else None
    return tuple(
        f"{letter_of(index)}: {_from_to(start, end, mm)}"
        for index, (start, end) in enumerate(hose["not_searched"])
    )


def _from_to(start: float, end: float, mm: float | None) -> str:
    if mm is None:
        return f"{100 * start:.0f} % to {100 * end:.0f} % of the length"
    return f"{mm * start:.0f} mm to {mm * end:.0f} mm"


def _where(address: str, words: str) -> str:
    return f'<div class="gw-where"><img src="{text(address)}" alt="{text(words)}"></div>'


def _address(kind: SearchKind, try_id: str, place: str, what: str, lines: bool) -> str:
    return f"/{'hoses' if kind.of_leg else 'surfaces'}/{try_id}/{what}/{place}?lines={int(lines)}"


def _true(address: str, words: str) -> str:
    source = text(address)
    each = ", ".join(f"{source} {density}x" for density in _DENSITIES)
    return f'<div class="gw-true" tabindex="0"><img src="{source}" srcset="{each}" alt="{text(words)}"></div>'
