"""What comparing two photos of one view gives: an answer, its places, and what was not compared."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from vision.compare.changes import Change
from vision.compare.stand import Stand
from vision.compare.structure import Explained
from vision.compare.surfaces import Surface
from vision.compare.view import View
from vision.notes import Remedy


class Answer(StrEnum):
    """Changed, the same as far as it was compared, or not comparable."""

    CHANGED = "changed"
    SAME = "same"
    NOT_COMPARABLE = "not_comparable"


@dataclass(frozen=True, eq=False)
class Aligned:
    """How the earlier photo lies on the present one, for drawing it there.

    Attributes
    ----------
    earlier, now : View
    surfaces : tuple of Surface
        In pixels of the views.
    explained : Explained
    """

    earlier: View
    now: View
    surfaces: tuple[Surface, ...]
    explained: Explained


@dataclass(frozen=True, eq=False)
class Compared:
    """The answer.

    Attributes
    ----------
    answer : Answer
        SAME says only that nothing was found where it was compared; it is no inspection.
    changes : sequence of Change
        The strongest first; a person judges each.
    share : float, 0 to 1
        How much of the present photo was compared; the rest counts as not looked at.
    surfaces : int
        How many flat pieces were told apart.
    remedy, detail : Remedy or None, str
        Why it is not comparable, and the one thing to do.
    stand : Stand or None
        How to move to where the earlier photo was taken.
    aligned : Aligned or None
    """

    answer: Answer
    changes: Sequence[Change] = ()
    share: float = 0.0
    surfaces: int = 0
    remedy: Remedy | None = None
    detail: str = ""
    stand: Stand | None = None
    aligned: Aligned | None = None

    @property
    def reason(self) -> str:
        """Why it is not comparable, with what was found; empty where it is."""
        if self.remedy is None:
            return ""
        return f"{self.remedy.reason} ({self.detail})" if self.detail else self.remedy.reason


def to_json(compared: Compared) -> dict[str, Any]:
    """Return plain JSON values (keys always all present); px of the upright photos."""
    remedy, stand = compared.remedy, compared.stand
    return {
        "answer": compared.answer.value,
        "share_compared": round(compared.share, 4),
        "surfaces": compared.surfaces,
        "cause": remedy and remedy.code,
        "reason": compared.reason or None,
        "advice": remedy and remedy.advice,
        "changes": [
            {
                "outline_px": [[round(x, 1), round(y, 1)] for x, y in change.outline.tolist()],
                "earlier_px": [[round(x, 1), round(y, 1)] for x, y in change.earlier.tolist()],
                "across_px": round(change.across_px, 1),
                "excess": round(change.excess, 2),
            }
            for change in compared.changes
        ],
        "stand": stand and stand.plain(),
    }
