"""A scale card's JSON: read with every contradiction named, and written back.

Layout (mm, origin top left, x right, y down)::

    {"name", "dictionary", "width_mm", "height_mm",
     "markers": [{"id", "corners_mm": [[x, y] × 4 clockwise from top left]}],
     "checker": {"origin_mm", "square_mm", "columns", "rows"} or a list of them,
     "dots": [{"xy_mm", "diameter_mm"}],
     "wedge": [{"rect_mm": [x, y, w, h], "reflectance"}],
     "check_bars_mm": [along, across],
     "copy_tag": {"corners_mm"}}

Name, sizes and markers are required; a card of markers alone is a card.
"""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from vision.card.checks import check_card
from vision.card.fields import items, number, numbers, table, text, whole
from vision.card.parts import (
    DICTIONARY,
    Card,
    Checker,
    CopyTag,
    Dot,
    FloatArray,
    Marker,
    WedgePatch,
    read_only,
)
from vision.errors import CardError

__all__ = [
    "DICTIONARY",
    "Card",
    "Checker",
    "CopyTag",
    "Dot",
    "Marker",
    "WedgePatch",
    "card_from_json",
    "load_card",
    "to_json",
]

_REQUIRED = ("name", "width_mm", "height_mm", "markers")
_OPTIONAL = ("dictionary", "checker", "dots", "wedge", "check_bars_mm", "copy_tag")


def load_card(path: str | Path) -> Card:
    """Read a card's definition from a JSON file.

    Raises
    ------
    CardError
        The file cannot be read, is no JSON, or contradicts itself.
    """
    path = Path(path)
    try:
        content = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        msg = f"{path}: the card's definition cannot be read ({error}); give the path of a JSON file."
        raise CardError(msg) from error
    try:
        obj = json.loads(content)
    except (ValueError, RecursionError) as error:
        msg = f"{path}: this is no JSON ({error}); correct the file there."
        raise CardError(msg) from error
    return card_from_json(obj, str(path))


def card_from_json(obj: object, source: str) -> Card:
    """Return the card that the JSON object `obj` defines.

    Parameters
    ----------
    obj : object
        What `json.loads` gave.
    source : str
        File name or other origin, for the messages.

    Raises
    ------
    CardError
        Saying what was wrong, where, and what to do.
    """
    data = table(obj, source, "", _REQUIRED, _OPTIONAL)
    checker = data.get("checker", [])
    checkers = checker if isinstance(checker, list) else [checker]
    card = Card(
        name=text(data["name"], source, "name"),
        dictionary=text(data.get("dictionary", DICTIONARY), source, "dictionary"),
        width_mm=number(data["width_mm"], source, "width_mm"),
        height_mm=number(data["height_mm"], source, "height_mm"),
        markers=tuple(_marker(m, source, at) for m, at in items(data, "markers", source)),
        checkers=tuple(_checker(c, source, f"checker[{i}]") for i, c in enumerate(checkers)),
        dots=tuple(_dot(d, source, at) for d, at in items(data, "dots", source)),
        wedge=tuple(_patch(p, source, at) for p, at in items(data, "wedge", source)),
        check_bars_mm=_bars(data.get("check_bars_mm"), source),
        copy_tag=_copy_tag(data.get("copy_tag"), source),
    )
    check_card(card, source)
    return card


def to_json(card: Card) -> dict[str, Any]:
    """Return the JSON object of `card`; `card_from_json` gives the same card back."""
    data: dict[str, Any] = {
        "name": card.name,
        "dictionary": card.dictionary,
        "width_mm": card.width_mm,
        "height_mm": card.height_mm,
        "markers": [{"id": m.id, "corners_mm": m.corners_mm.tolist()} for m in card.markers],
    }
    if card.checkers:
        data["checker"] = [
            {"origin_mm": list(c.origin_mm), "square_mm": c.square_mm, "columns": c.columns, "rows": c.rows}
            for c in card.checkers
        ]
    if card.dots:
        data["dots"] = [{"xy_mm": list(d.xy_mm), "diameter_mm": d.diameter_mm} for d in card.dots]
    if card.wedge:
        data["wedge"] = [{"rect_mm": list(p.rect_mm), "reflectance": p.reflectance} for p in card.wedge]
    if card.check_bars_mm is not None:
        data["check_bars_mm"] = list(card.check_bars_mm)
    if card.copy_tag is not None:
        data["copy_tag"] = {"corners_mm": card.copy_tag.corners_mm.tolist()}
    return data


def _marker(obj: object, source: str, at: str) -> Marker:
    data = table(obj, source, at, ("id", "corners_mm"))
    return Marker(whole(data["id"], source, f"{at}.id"), _corners(data, source, at))


def _checker(obj: object, source: str, at: str) -> Checker:
    data = table(obj, source, at, ("origin_mm", "square_mm", "columns", "rows"))
    x, y = numbers(data["origin_mm"], source, f"{at}.origin_mm", 2)
    return Checker(
        origin_mm=(x, y),
        square_mm=number(data["square_mm"], source, f"{at}.square_mm"),
        columns=whole(data["columns"], source, f"{at}.columns"),
        rows=whole(data["rows"], source, f"{at}.rows"),
    )


def _dot(obj: object, source: str, at: str) -> Dot:
    data = table(obj, source, at, ("xy_mm", "diameter_mm"))
    x, y = numbers(data["xy_mm"], source, f"{at}.xy_mm", 2)
    return Dot((x, y), number(data["diameter_mm"], source, f"{at}.diameter_mm"))


def _patch(obj: object, source: str, at: str) -> WedgePatch:
    data = table(obj, source, at, ("rect_mm", "reflectance"))
    x, y, w, h = numbers(data["rect_mm"], source, f"{at}.rect_mm", 4)
    return WedgePatch((x, y, w, h), number(data["reflectance"], source, f"{at}.reflectance"))


def _bars(obj: object, source: str) -> tuple[float, float] | None:
    if obj is None:
        return None
    along, across = numbers(obj, source, "check_bars_mm", 2)
    return along, across


def _copy_tag(obj: object, source: str) -> CopyTag | None:
    if obj is None:
        return None
    data = table(obj, source, "copy_tag", ("corners_mm",))
    return CopyTag(_corners(data, source, "copy_tag"))


def _corners(data: Mapping[str, object], source: str, at: str) -> FloatArray:
    corners = data["corners_mm"]
    if not isinstance(corners, list) or len(corners) != 4:
        msg = f"{source}: {at}.corners_mm must be four points [x, y], clockwise from the top left."
        raise CardError(msg)
    return read_only([numbers(c, source, f"{at}.corners_mm[{i}]", 2) for i, c in enumerate(corners)])
