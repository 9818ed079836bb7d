"""What searching a surface gives: flags for a person to judge, and how much was searched at all.

No flag says nothing of wear: a photo shows a surface in one light, and only what `Coverage` counts was
searched.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision.notes import Note
from vision.results import Refusal

Array = NDArray[np.float64]
KINDS = ("spot", "card", "drop", "edge", "label", "pattern", "rivets", "shadow", "slides", "streak", "sun")


@dataclass(frozen=True, eq=False)
class Flag:
    """A place that the search wants looked at.

    Attributes
    ----------
    outline_px : (N, 2) array
        px of the upright photo.
    grade : int
        1 faint, 2, 3 strong: how much it stands out from the surface, not how bad it is.
    size_px : float
        Longest side.
    size_mm : float or None
        The same in the plane of the card; None where no card near it tells.
    why : str
        What stands out.
    kind : str
        ``"spot"``, or what it was set aside as; one of `KINDS`.
    """

    outline_px: Array
    grade: int
    size_px: float
    size_mm: float | None
    why: str
    kind: str = "spot"

    @property
    def middle_px(self) -> tuple[float, float]:
        """Middle of the box about it."""
        low, high = self.outline_px.min(axis=0), self.outline_px.max(axis=0)
        x, y = (low + high) / 2
        return float(x), float(y)


@dataclass(frozen=True, eq=False)
class Coverage:
    """Which part of the region was seen sharp and lit.

    Attributes
    ----------
    left, top, tile_px : float
        Photo px of the grid's corner (half a pixel before the first one's centre); a square's side.
    area : (N, M) array
        Share of the region's area in each square; together 1.
    seen : (N, M) array
        Share of each square's part that was searched, 0 to 1.
    """

    left: float
    top: float
    tile_px: float
    area: Array
    seen: Array

    @property
    def share(self) -> float:
        """Share of the region that was searched."""
        return float((self.area * self.seen).sum())

    def blind(self) -> list[tuple[float, float, float, float]]:
        """Return squares of which less than half was searched: x, y of both corners, px."""
        rows, columns = np.nonzero((self.area > 0) & (self.seen < 0.5))
        x, y = self.left + columns * self.tile_px, self.top + rows * self.tile_px
        far_x, far_y = x + self.tile_px, y + self.tile_px
        return [tuple(map(float, one)) for one in zip(x, y, far_x, far_y, strict=True)]  # type: ignore[misc]


@dataclass(frozen=True, eq=False)
class Searched:
    """Flags with the strongest first, and what was set aside: any can be brought back.

    Attributes
    ----------
    region_px : (N, 2) array
        The region as it was shown.
    least_px, most_px : float
        Longest sides of the smallest and of the largest place that was looked for.
    """

    flags: Sequence[Flag]
    set_aside: Sequence[Flag]
    region_px: Array
    coverage: Coverage
    least_px: float
    most_px: float
    notes: Sequence[Note] = ()

    def __bool__(self) -> bool:
        return True


def to_json(result: Searched | Refusal) -> dict[str, Any]:
    """Return the contract's JSON object (keys always all present); a surface has no hoses."""
    common: dict[str, Any] = {
        "hoses": [],
        "notes": [{"code": note.code, "text": note.text} for note in result.notes],
    }
    if isinstance(result, Refusal):
        return common | {
            "status": "refused", "flags": [], "set_aside": [], "surface": None,
            "cause": result.remedy.code, "reason": result.reason, "advice": result.advice,
        }  # fmt: skip
    return common | {
        "status": "searched",
        "flags": [_flag(flag) for flag in result.flags],
        "set_aside": [_flag(flag) | {"kind": flag.kind} for flag in result.set_aside],
        "surface": {
            "region_px": np.round(result.region_px, 1).tolist(),
            "searched_share": round(result.coverage.share, 4),
            "not_searched_px": [[round(part, 1) for part in box] for box in result.coverage.blind()],
            "looked_for_px": [round(result.least_px, 1), round(result.most_px, 1)],
        },
        "cause": None,
        "reason": None,
        "advice": None,
    }


def _flag(flag: Flag) -> dict[str, Any]:
    return {
        "outline_px": np.round(flag.outline_px, 1).tolist(),
        "middle_px": [round(part, 1) for part in flag.middle_px],
        "grade": flag.grade,
        "size_px": round(flag.size_px, 1),
        "size_mm": None if flag.size_mm is None else round(flag.size_mm, 1),
        "along_mm": None,
        "why": flag.why,
    }
