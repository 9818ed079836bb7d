"""What can be asked of the archive's settled work, and what comes back, a page at a time."""

import re
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import NamedTuple

from app.errors import UsageError

PAGE = 25
"""Rows of a page."""
MOST_ROWS = 200


class FoundKind(StrEnum):
    """What a row stands for: a photo with what was read on it, or a measurement by hand."""

    PHOTO = "photo"
    HAND = "hand"


class FoundVerdict(StrEnum):
    """What a row says: a reading's verdict, a refusal, or a value without one."""

    WITHIN = "within"
    OUTSIDE = "outside"
    UNDECIDED = "undecided"
    REFUSED = "refused"
    NONE = "none"


@dataclass(frozen=True)
class FindFilter:
    """What is looked for; what is None or empty does not matter, all else must hold together.

    Attributes
    ----------
    registration, position, item : str or None
        Aircraft, leg, and the item's key.
    since, until : datetime or None
        Aware; settled at or after, and before.
    person_id : str or None
        Who photographed, measured or confirmed.
    verdict : FoundVerdict or None
    grade : str or None
        The highest grade of the flags on the photo.
    words : str
        Parts of words, all of which must occur in the row's text, whatever their case.
    """

    registration: str | None = None
    position: str | None = None
    item: str | None = None
    since: datetime | None = None
    until: datetime | None = None
    person_id: str | None = None
    verdict: FoundVerdict | None = None
    grade: str | None = None
    words: str = ""


class Mark(NamedTuple):
    """A place between two rows: everything older than this row.  Rows that come later do not move it."""

    at: str
    id: str

    def __str__(self) -> str:
        return f"{self.at}~{self.id}"

    @classmethod
    def read(cls, text: str) -> "Mark":
        """Return the mark that stands in an address.

        Raises
        ------
        UsageError
            It is none.
        """
        found = re.fullmatch(r"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}\+00:00)~([0-9a-f]{32})", text)
        if found is None:
            msg = f"{text[:40]!r} is no place in the list: begin at its first page"
            raise UsageError(msg)
        return cls(*found.groups())


@dataclass(frozen=True)
class FoundRow:
    """One row, newest first.

    Attributes
    ----------
    id : str
        Of the try, or of the hand measurement.
    second : str or None
        Name of who confirmed.
    photo : str or None
        SHA-256 of the original.
    value, expanded_u, unit : float, float, str or None
    """

    id: str
    kind: FoundKind
    at: datetime
    inspection_id: str
    item_id: str
    leg_id: str
    registration: str
    position: str
    key: str
    person: str
    second: str | None
    verdict: FoundVerdict
    grade: str | None
    photo: str | None
    value: float | None
    expanded_u: float | None
    unit: str | None


@dataclass(frozen=True)
class FoundPage:
    """Rows, newest first, and where the next older page begins; None where there is none."""

    rows: tuple[FoundRow, ...]
    older: Mark | None
