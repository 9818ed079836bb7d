"""What searching a photo's hoses gives: flags for a person to judge, and how much was searched at all.

No flag never means "no wear": a photo shows one side of a hose, and only what `Coverage` counts was
searched.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision.hose.course import Course
from vision.notes import Note
from vision.results import Refusal

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Flag:
    """A place that the search wants looked at.

    Attributes
    ----------
    outline_px : (N, 2) array
        px of the upright photo.
    hose : int
        Index among the hoses searched.
    grade : int
        1 faint, 2, 3 strong: how much it stands out, not how bad it is.
    size_mm, along_mm : float or None
        Longest side; place from the course's first end.  None where the scale is not known.
    why : str
        What stands out.
    kind : str
        ``"spot"``, ``"wet"``, or what it was set aside as: ``"clamp"``, ``"crossing"``, ``"drop"``,
        ``"edge"``, ``"fitting"``, ``"label"``, ``"light"``, ``"slides"``, ``"streak"``, ``"sun"``,
        ``"tape"``.
    """

    outline_px: Array
    hose: int
    grade: int
    size_mm: float | None
    along_mm: float | None
    why: str
    kind: str = "spot"


@dataclass(frozen=True, eq=False)
class Coverage:
    """Which part of one hose a photo showed well enough.

    Attributes
    ----------
    seen : (N, S) bool array
        For N stretches of equal length and S strips of the side that faces the camera.
    facing : float
        Share of the hose's round that these strips are.
    length_px : float
    length_mm : float or None
    """

    seen: NDArray[np.bool_]
    facing: float
    length_px: float
    length_mm: float | None

    @property
    def share(self) -> float:
        """Share of the surface, all round and along the course in the photo, that was searched."""
        return float(self.seen.mean()) * self.facing

    def gaps(self) -> list[tuple[float, float]]:
        """Return stretches not searched at all, as shares (from, to) of the course."""
        blind = np.concatenate([[False], ~self.seen.any(axis=1), [False]]).astype(int)
        edges = np.nonzero(np.diff(blind))[0].reshape(-1, 2) / max(len(self.seen), 1)
        return [(float(a), float(b)) for a, b in edges]

    def with_other(self, other: "Coverage") -> "Coverage":
        """Return both photos of the same side and course together; `other` is stretched onto this one.

        A photo of another side is kept as a coverage of its own: their shares add.
        """
        at = np.minimum(
            (np.arange(len(self.seen)) + 0.5) / len(self.seen) * len(other.seen), len(other.seen) - 1
        )
        return Coverage(self.seen | other.seen[at.astype(int)], self.facing, self.length_px, self.length_mm)


@dataclass(frozen=True, eq=False)
class Hose:
    """A hose that was searched."""

    course: Course
    name: str
    cover: str
    diameter_mm: float | None
    coverage: Coverage

    @property
    def px_per_mm(self) -> float | None:
        """By its own diameter, in the median along it."""
        return None if self.diameter_mm is None else self.course.width_px / self.diameter_mm


@dataclass(frozen=True, eq=False)
class Searched:
    """Flags with the strongest first, what was set aside (any can be brought back), and the hoses."""

    flags: Sequence[Flag]
    set_aside: Sequence[Flag]
    hoses: Sequence[Hose]
    notes: Sequence[Note] = ()

    def __bool__(self) -> bool:
        return True


def to_json(result: Searched | Refusal) -> dict[str, Any]:
    """Return the contract's JSON object (keys always all present)."""
    notes = [{"code": note.code, "text": note.text} for note in result.notes]
    if isinstance(result, Refusal):
        return {
            "status": "refused", "flags": [], "set_aside": [], "hoses": [], "notes": notes,
            "cause": result.remedy.code, "reason": result.reason, "advice": result.advice,
        }  # fmt: skip
    return {
        "status": "searched",
        "flags": [_flag(flag) | {"looks_wet": flag.kind == "wet"} for flag in result.flags],
        "set_aside": [_flag(flag) | {"kind": flag.kind} for flag in result.set_aside],
        "hoses": [_hose(hose) for hose in result.hoses],
        "notes": notes,
        "cause": None,
        "reason": None,
        "advice": None,
    }


def _flag(flag: Flag) -> dict[str, Any]:
    return {
        "outline_px": np.round(flag.outline_px, 1).tolist(),
        "hose": flag.hose,
        "grade": flag.grade,
        "size_mm": None if flag.size_mm is None else round(flag.size_mm, 1),
        "along_mm": None if flag.along_mm is None else round(flag.along_mm, 1),
        "why": flag.why,
    }


def _hose(hose: Hose) -> dict[str, Any]:
    stride = max(1, int(hose.course.width_px / 4))
    line = np.vstack([hose.course.points[:-1:stride], hose.course.points[-1:]])
    return {
        "name": hose.name,
        "cover": hose.cover,
        "centre_line_px": np.round(line, 1).tolist(),
        "width_px": round(hose.course.width_px, 1),
        "diameter_mm": hose.diameter_mm,
        "searched_share": round(hose.coverage.share, 4),
        "not_searched": [[round(a, 3), round(b, 3)] for a, b in hose.coverage.gaps()],
    }
