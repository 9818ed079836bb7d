"""The pages that cards and leg tags are printed on: A4, true size, one page a copy."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vision.card.drawing import card_primitives
from vision.card.furniture import Furniture, furniture
from vision.card.instructions import Section, check_section, sections, title
from vision.card.page import PAGE_MM, Page
from vision.card.parts import Card
from vision.card.primitives import Box, Primitive
from vision.errors import CardError

_MARGIN_MM = 18.0
_TOP_MM = 16.0
_GAP_MM = 14.0  # between the card and the words
_HAIR_MM = 0.1
_CROP_MM = 5.0


@dataclass(frozen=True)
class _Column:
    """A column of words on the page: its top left corner, width and sections."""

    x: float
    y: float
    width: float
    sections: tuple[Section, ...]


@dataclass(frozen=True)
class _Layout:
    """Where the card's origin, the title and the words lie on the page."""

    origin: tuple[float, float]
    title: tuple[float, float]
    columns: tuple[_Column, ...]


def placement_mm(card: Card) -> tuple[float, float]:
    """Return where the card's origin lies on its A4 page, (x, y) in mm from the top left.

    Raises
    ------
    CardError
        The card does not fit on A4.
    """
    return _layout(card, has_window=False).origin


def card_pdf(card: Card, copies: Sequence[int]) -> bytes:
    """Return a PDF with one A4 page at true size for each copy number.

    A card that is not one of the supplied ones is drawn from its definition
    alone, with its check bars outside of its edge.

    Parameters
    ----------
    card : Card
    copies : sequence of int, 100–399, all different

    Raises
    ------
    CardError
        No copy is asked for, one twice or out of range, or the card is larger than A4.
    """
    if not copies:
        msg = f"card {card.name}: no copy number was given; ask for at least one, from 100 to 399."
        raise CardError(msg)
    if len(set(copies)) != len(copies):
        msg = f"card {card.name}: a copy number is asked for twice in {list(copies)}; give each copy its own."
        raise CardError(msg)
    page = Page(title(card))
    for copy in copies:
        _card_page(page, card, copy)
    return page.finish()


def _card_page(page: Page, card: Card, copy: int) -> None:
    around = furniture(card, copy)
    layout = _layout(card, has_window=around.window_mm is not None)
    page.start(layout.origin)
    for item in (*card_primitives(card, copy), *around.primitives, *_cut_lines(card, around)):
        page.draw(item)
    page.title(*layout.title, title(card), f"copy {copy}")
    for column in layout.columns:
        y = column.y
        for section in column.sections:
            y = page.section(section, column.x, y, column.width)


def _layout(card: Card, *, has_window: bool) -> _Layout:
    width, height = card.width_mm, card.height_mm
    words = sections(card, has_window)
    if width <= 70 and height <= PAGE_MM[1] - 2 * _MARGIN_MM:
        y = (PAGE_MM[1] - height) / 2
        x = _MARGIN_MM + width + _GAP_MM
        column = _Column(x, y + 19.0, PAGE_MM[0] - _MARGIN_MM - x, words)
        return _Layout((_MARGIN_MM, y), (x, y + 7.0), (column,))
    x = (PAGE_MM[0] - width) / 2
    if height <= 170 and width <= PAGE_MM[0] - 2 * _MARGIN_MM:
        y = _TOP_MM + height + 12.0
        half = (PAGE_MM[0] - 2 * _MARGIN_MM - 10.0) / 2
        columns = (
            _Column(_MARGIN_MM, y + 10.0, half, words[:1]),
            _Column(_MARGIN_MM + half + 10.0, y + 10.0, half, words[1:]),
        )
        return _Layout((x, _TOP_MM), (_MARGIN_MM, y + 2.0), columns)
    if width > PAGE_MM[0] - 14.0 or height > PAGE_MM[1] - 60.0:
        msg = (
            f"card {card.name}: {width:g} × {height:g} mm does not fit on A4 with its check bars and words; "
            "print it with the program that designed it."
        )
        raise CardError(msg)
    column = _Column(_MARGIN_MM, height + 24.0, PAGE_MM[0] - 2 * _MARGIN_MM, (check_section(card),))
    return _Layout((x, 8.0), (_MARGIN_MM, height + 18.0), (column,))


def _cut_lines(card: Card, around: Furniture) -> Iterator[Primitive]:
    """Hairlines wholly outside the card, and crop marks that a cut does not remove."""
    w, h = card.width_mm, card.height_mm
    yield from _frame(-_HAIR_MM, -_HAIR_MM, w + 2 * _HAIR_MM, h + 2 * _HAIR_MM)
    for x in (-_HAIR_MM, w):
        for y in (-_CROP_MM - 1.0, h + 1.0):
            yield Box(x, y, _HAIR_MM, _CROP_MM)
    for y in (-_HAIR_MM, h):
        for x in (-_CROP_MM - 1.0, w + 1.0):
            yield Box(x, y, _CROP_MM, _HAIR_MM)
    if around.window_mm is not None:
        yield from _frame(*around.window_mm)


def _frame(x: float, y: float, width: float, height: float) -> Iterator[Primitive]:
    for at in (y, y + height - _HAIR_MM):
        yield Box(x, at, width, _HAIR_MM, grey=0.5)
    for at in (x, x + width - _HAIR_MM):
        yield Box(at, y, _HAIR_MM, height, grey=0.5)
