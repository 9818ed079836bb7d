"""The layout of the two supplied cards; the JSON files beside it hold what it gives.

``python -m vision.card.design`` writes the files anew.  The strip's saddles
stand in two columns over nearly the whole length: pitch is told by how their
spacing changes along the card, and many small squares scatter least.  Tags only
identify, since detectors draw their corners inward and no number of tags
averages that out (tests/vision/card/simulate_design.py has the figures).
"""

import json
from pathlib import Path
from typing import Any

Json = dict[str, Any]

REFLECTANCES = (0.9, 0.6, 0.36, 0.2, 0.1, 0.04)

STRIP_WIDTH, STRIP_HEIGHT = 45.0, 236.0
STRIP_SQUARE = 4.5
STRIP_TAG = 14.0
STRIP_LEFT, STRIP_RIGHT = 5.4, 31.9  # outer left sides of the two checkers
STRIP_TOP, STRIP_ROWS = 9.0, 48
STRIP_SLOT = 18.0  # height of one field of the middle column
STRIP_TAG_SLOTS = (0, 1, 2, 4, 8, 9, 10, 11)
STRIP_WORDS_SLOT, STRIP_WEDGE_SLOT, STRIP_COPY_SLOT = 3, 5, 7

PLATE_WIDTH, PLATE_HEIGHT = 120.0, 160.0
PLATE_FRAME = 30.0
PLATE_RULE = 5.4  # rulers and check bars lie outside of this
PLATE_SQUARE = 5.0
PLATE_TAG = 18.0
PLATE_NEAR = 7.2  # a tag's distance from the edge: one white module inside the check bar


def strip() -> Json:
    """Return the strip for struts: 45 × 236 mm, 94 saddles, 8 tags, id 0–7."""
    middle = (STRIP_LEFT + 2 * STRIP_SQUARE + STRIP_RIGHT) / 2
    tag_x = middle - STRIP_TAG / 2

    def tag_y(slot: int) -> float:
        return STRIP_TOP + slot * STRIP_SLOT + (STRIP_SLOT - STRIP_TAG) / 2

    wedge_y = STRIP_TOP + STRIP_WEDGE_SLOT * STRIP_SLOT + 1.5
    return {
        "name": "strip",
        "dictionary": "DICT_APRILTAG_36h11",
        "width_mm": STRIP_WIDTH,
        "height_mm": STRIP_HEIGHT,
        "markers": [
            {"id": number, "corners_mm": _square(tag_x, tag_y(slot), STRIP_TAG)}
            for number, slot in enumerate(STRIP_TAG_SLOTS)
        ],
        "checker": [_checker(x, STRIP_TOP, STRIP_SQUARE, 2, STRIP_ROWS) for x in (STRIP_LEFT, STRIP_RIGHT)],
        "wedge": _wedge(middle - 8.0, wedge_y, 8.0, 11.0, 2),
        "check_bars_mm": [200.0, 30.0],
        "copy_tag": {"corners_mm": _square(tag_x, tag_y(STRIP_COPY_SLOT), STRIP_TAG)},
    }


def plate() -> Json:
    """Return the plate for wheels and doors: 120 × 160 mm, open middle, id 20–27."""
    near = PLATE_NEAR
    far_x, far_y = PLATE_WIDTH - near - PLATE_TAG, PLATE_HEIGHT - near - PLATE_TAG
    mid_x, mid_y = (PLATE_WIDTH - PLATE_TAG) / 2, (PLATE_HEIGHT - PLATE_TAG) / 2
    spots = [
        (near, near), (mid_x, near), (far_x, near), (near, mid_y),
        (far_x, mid_y), (near, far_y), (mid_x, far_y), (far_x, far_y),
    ]  # fmt: skip
    gap_x = (near + PLATE_TAG + mid_x) / 2  # middle between a corner tag and the next tag
    gap_y = (near + PLATE_TAG + mid_y) / 2
    side = PLATE_RULE
    far_side = PLATE_WIDTH - PLATE_RULE - 4 * PLATE_SQUARE
    foot = PLATE_HEIGHT - PLATE_RULE - 4 * PLATE_SQUARE
    checkers = [
        _checker(x, y - 4 * PLATE_SQUARE, PLATE_SQUARE, 4, 8)
        for x in (side, far_side)
        for y in (gap_y, PLATE_HEIGHT - gap_y)
    ]
    checkers += [
        _checker(PLATE_WIDTH - gap_x - 2 * PLATE_SQUARE, y, PLATE_SQUARE, 4, 4) for y in (side, foot)
    ]
    copy_x = gap_x - PLATE_TAG / 2
    return {
        "name": "plate",
        "dictionary": "DICT_APRILTAG_36h11",
        "width_mm": PLATE_WIDTH,
        "height_mm": PLATE_HEIGHT,
        "markers": [
            {"id": 20 + number, "corners_mm": _square(x, y, PLATE_TAG)} for number, (x, y) in enumerate(spots)
        ],
        "checker": checkers,
        "wedge": _wedge(gap_x - 9.0, side, 9.0, 7.0, 2),
        "check_bars_mm": [140.0, 100.0],
        "copy_tag": {"corners_mm": _square(copy_x, far_y, PLATE_TAG)},
    }


def designs() -> dict[str, Json]:
    """Return every supplied card's JSON object under its file name."""
    return {"strip.json": strip(), "plate.json": plate()}


def file_text(design: Json) -> str:
    """Return the text of a card's JSON file."""
    return json.dumps(design, indent=1) + "\n"


def _square(x: float, y: float, side: float) -> list[list[float]]:
    corners = ((x, y), (x + side, y), (x + side, y + side), (x, y + side))
    return [[round(a, 4), round(b, 4)] for a, b in corners]


def _checker(x: float, y: float, square: float, columns: int, rows: int) -> Json:
    return {"origin_mm": [round(x, 4), round(y, 4)], "square_mm": square, "columns": columns, "rows": rows}


def _wedge(x: float, y: float, width: float, height: float, columns: int) -> list[Json]:
    return [
        {
            "rect_mm": [
                round(x + i % columns * width, 4),
                round(y + i // columns * height, 4),
                width,
                height,
            ],
            "reflectance": reflectance,
        }
        for i, reflectance in enumerate(REFLECTANCES)
    ]


if __name__ == "__main__":
    for file_name, design in designs().items():
        (Path(__file__).parent / file_name).write_text(file_text(design), encoding="utf-8")
