"""What makes a card's definition contradict itself; every finding is a CardError."""

from itertools import combinations

import numpy as np

from vision.card.parts import CARD_IDS, DICTIONARY, Card, FloatArray, Marker, rectangle
from vision.errors import CardError

_TOUCH_MM = 1e-6
_SQUARENESS = 0.05


def check_card(card: Card, source: str) -> None:
    """Raise CardError at the first thing in `card` that cannot be.

    Parameters
    ----------
    card : Card
    source : str
        Where the definition came from; every message starts with it.

    Raises
    ------
    CardError
        Saying what was wrong, where, and what to do.
    """
    _check_frame(card, source)
    _check_ids(card, source)
    for marker in card.markers:
        _check_square(f"marker {marker.id}", marker.corners_mm, source)
    if card.copy_tag is not None:
        _check_square("copy_tag", card.copy_tag.corners_mm, source)
    _check_sizes(card, source)
    _check_bars(card, source)
    outlines = _outlines(card)
    for label, outline in outlines:
        _check_inside(card, label, outline, source)
    for (label, outline), (other, other_outline) in combinations(outlines, 2):
        if _overlap(outline, other_outline):
            msg = f"{source}: {label} and {other} overlap; move one of them."
            raise CardError(msg)


def _check_frame(card: Card, source: str) -> None:
    if card.dictionary != DICTIONARY:
        msg = f"{source}: dictionary is {card.dictionary!r}; only {DICTIONARY!r} is read, print its markers."
        raise CardError(msg)
    for key, value in (("width_mm", card.width_mm), ("height_mm", card.height_mm)):
        if value <= 0:
            msg = f"{source}: {key} is {value:g}; give the card's size in mm, above 0."
            raise CardError(msg)
    if not card.markers:
        msg = (
            f"{source}: the card has no marker, so nothing on it can be found or measured; "
            "add at least one to 'markers'."
        )
        raise CardError(msg)


def _check_ids(card: Card, source: str) -> None:
    seen: set[int] = set()
    for marker in card.markers:
        if marker.id not in CARD_IDS:
            msg = (
                f"{source}: marker id {marker.id} is outside 0–99; "
                "100–399 are copy numbers and 400–586 leg tags: choose an id from 0 to 99."
            )
            raise CardError(msg)
        if marker.id in seen:
            msg = f"{source}: marker id {marker.id} stands twice; give every marker an id of its own."
            raise CardError(msg)
        seen.add(marker.id)


def _check_square(label: str, corners: FloatArray, source: str) -> None:
    sides = np.roll(corners, -1, axis=0) - corners
    turns = _cross(sides, np.roll(sides, -1, axis=0))
    if np.all(turns < 0):
        msg = (
            f"{source}: the corners of {label} run counter-clockwise; list them clockwise from the top left."
        )
        raise CardError(msg)
    lengths = np.linalg.norm(sides, axis=1)
    diagonals = np.linalg.norm(corners[:2] - corners[2:], axis=1)
    uneven = max(_spread(lengths), _spread(diagonals))
    if not np.all(turns > 0) or uneven > _SQUARENESS:
        msg = f"{source}: the corners of {label} are no square; check the four points {corners.tolist()}."
        raise CardError(msg)
    # Its top side points right; anything turned further starts at another corner.
    if sides[0, 0] < abs(sides[0, 1]) * (1 - _SQUARENESS):
        msg = (
            f"{source}: the corners of {label} do not start at the top left; "
            "list them clockwise from the top left of the upright marker."
        )
        raise CardError(msg)


def _check_sizes(card: Card, source: str) -> None:
    for index, checker in enumerate(card.checkers):
        if checker.square_mm <= 0:
            msg = f"{source}: checker {index + 1}: square_mm is {checker.square_mm:g}; it must be above 0."
            raise CardError(msg)
        if checker.columns < 2 or checker.rows < 2:
            msg = (
                f"{source}: checker {index + 1} has {checker.columns} columns and {checker.rows} rows; "
                "it needs at least 2 of each to have an inner corner."
            )
            raise CardError(msg)
    for index, dot in enumerate(card.dots):
        if dot.diameter_mm <= 0:
            msg = f"{source}: dot {index + 1}: diameter_mm is {dot.diameter_mm:g}; it must be above 0."
            raise CardError(msg)
    for index, patch in enumerate(card.wedge):
        if not 0 < patch.reflectance <= 1:
            msg = (
                f"{source}: wedge patch {index + 1}: reflectance is {patch.reflectance:g}; "
                "give a share above 0 and up to 1 (18 % is 0.18)."
            )
            raise CardError(msg)
        if min(patch.rect_mm[2:]) <= 0:
            msg = f"{source}: wedge patch {index + 1} has no area; rect_mm is [x, y, width, height] in mm."
            raise CardError(msg)


def _check_bars(card: Card, source: str) -> None:
    if card.check_bars_mm is None:
        return
    sides = sorted((card.width_mm, card.height_mm), reverse=True)
    for word, bar, side in zip(("along", "across"), card.check_bars_mm, sides, strict=True):
        if bar <= 0 or bar > side:
            msg = (
                f"{source}: the check bar {word} is {bar:g} mm; it must be above 0 and at most the "
                f"{side:g} mm of the card's {'longer' if word == 'along' else 'shorter'} side."
            )
            raise CardError(msg)


def _outlines(card: Card) -> list[tuple[str, FloatArray]]:
    found = [(_marker_label(marker), marker.corners_mm) for marker in card.markers]
    found += [(f"checker {i + 1}", checker.outline_mm()) for i, checker in enumerate(card.checkers)]
    found += [(f"wedge patch {i + 1}", patch.outline_mm()) for i, patch in enumerate(card.wedge)]
    for index, dot in enumerate(card.dots):
        corner = np.subtract(dot.xy_mm, dot.diameter_mm / 2)
        box = rectangle(corner[0], corner[1], dot.diameter_mm, dot.diameter_mm)
        found.append((f"dot {index + 1}", box))
    if card.copy_tag is not None:
        found.append(("copy_tag", card.copy_tag.corners_mm))
    return found


def _marker_label(marker: Marker) -> str:
    return f"marker {marker.id}"


def _check_inside(card: Card, label: str, outline: FloatArray, source: str) -> None:
    size = np.array([card.width_mm, card.height_mm])
    if np.any(outline < -_TOUCH_MM) or np.any(outline > size + _TOUCH_MM):
        msg = (
            f"{source}: {label} reaches outside the card of {card.width_mm:g} × {card.height_mm:g} mm; "
            "move it inside or correct width_mm and height_mm."
        )
        raise CardError(msg)


def _overlap(first: FloatArray, second: FloatArray) -> bool:
    """Tell whether two convex outlines share area (separating axis theorem)."""
    for outline in (first, second):
        sides = np.roll(outline, -1, axis=0) - outline
        normals = np.stack([sides[:, 1], -sides[:, 0]]) / np.linalg.norm(sides, axis=1)
        a, b = first @ normals, second @ normals
        gap = np.maximum(a.min(axis=0) - b.max(axis=0), b.min(axis=0) - a.max(axis=0))
        if gap.max() > -_TOUCH_MM:
            return False
    return True


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    product: FloatArray = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product


def _spread(lengths: FloatArray) -> float:
    return float(np.ptp(lengths) / max(lengths.mean(), 1e-12))
