"""What the use cases need from outside, as small abstract classes.

`app.archive` implements `Records` and `Photos`, `app.people` `Signatories`,
`app.measuring` `Measurer` and `Jobs`.
"""

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from typing import Any, TypeVar

from app.inspection.finding import PAGE, FindFilter, FoundPage, Mark
from app.inspection.model import Measured, Person, Pixel, PlacedLength, PlacedValue

T = TypeVar("T")


class Reader(ABC):
    """One consistent look at the records, in one transaction."""

    @abstractmethod
    def get(self, kind: type[T], id_: str, /) -> T:
        """Return the entry of this kind (`Try`, `Item`, …) with this id.

        Raises
        ------
        NotFound
            There is none.
        """

    @abstractmethod
    def all(self, kind: type[T], /, **equal: Any) -> tuple[T, ...]:
        """Return the entries whose named fields equal these values (None included), in no promised order."""


class Work(Reader):
    """A look that may also write; all of it is committed together, or nothing."""

    @abstractmethod
    def enter(
        self,
        kind: str,
        by: Person | None,
        inspection_id: str | None,
        *rows: Any,
        data: Mapping[str, Any] | None = None,
    ) -> str:
        """Append one event and write the entries that it creates or changes.

        Parameters
        ----------
        kind : str
            What happened, e.g. ``"photo-stored"``; stored for years.
        by : Person or None
            Who did it; None is the program itself.
        inspection_id : str or None
            Whose chain it belongs to; None is the archive's own.
        rows : dataclasses of `app.inspection.model`
            New or changed entries, in the order in which they refer to each other.
        data : mapping, optional
            What the event holds beside the changed fields: plain JSON values.

        Returns
        -------
        str
            The event's hash in hex.

        Raises
        ------
        Conflict
            The schema's constraints refuse the rows: somebody else was first.
        """

    @abstractmethod
    def progress(self, try_id: str, stage: str) -> None:
        """Write how far the measuring of a try is; no event, it is no part of the record."""


class Records(ABC):
    """The database behind the use cases."""

    @abstractmethod
    def begin(self) -> AbstractContextManager[Work]:
        """Begin a change: one writer at a time; durable when the block has ended without an error."""

    @abstractmethod
    def look(self) -> AbstractContextManager[Reader]:
        """Begin a consistent look; never waits for a writer."""


class Finds(ABC):
    """Searching through what is settled."""

    @abstractmethod
    def page(self, asked: FindFilter, older_than: Mark | None = None, most: int = PAGE) -> FoundPage:
        """Return a page of what is settled, newest first.

        Parameters
        ----------
        asked : FindFilter
        older_than : Mark, optional
            Where the page before ended.
        most : int
            Rows of the page.

        Raises
        ------
        UsageError
            So many rows are not given at once.
        """

    @abstractmethod
    def items(self) -> tuple[str, ...]:
        """Return the keys of the items there are results of, in the order of the alphabet."""


class Photos(ABC):
    """The bytes of photos, named by their SHA-256 in hex."""

    @abstractmethod
    def put(self, data: bytes) -> str:
        """Store bytes and return their SHA-256 once they are durable; the same bytes again change nothing."""

    @abstractmethod
    def get(self, sha: str) -> bytes:
        """Return the bytes, checked against their name.

        Raises
        ------
        NotFound
            There are none of this name.
        ArchiveError
            They no longer have the hash that names them.
        """

    @abstractmethod
    def has(self, sha: str) -> bool:
        """Return whether there are bytes of this name."""


class Clock(ABC):
    """What time it is."""

    @abstractmethod
    def now(self) -> datetime:
        """Return the present time, aware, in UTC."""


class SystemClock(Clock):
    """The computer's clock."""

    def now(self) -> datetime:
        """Return the present time, aware, in UTC."""
        return datetime.now(UTC)


class Measurer(ABC):
    """The measurements, as far as people and records need them."""

    @abstractmethod
    def measure(self, photo: bytes, leg_toml: str, options: Mapping[str, Any]) -> Measured:
        """Measure the strut on a photo.

        Raises
        ------
        GearwitnessError
            The bytes are no photo, or the leg's data is unusable.
        """

    @abstractmethod
    def length_at(self, result: Mapping[str, Any], from_px: Pixel, to_px: Pixel) -> PlacedLength:
        """Return the length between two points that a person placed.

        The geometry of the photo's own result converts them, so that edges are compared.

        Raises
        ------
        GearwitnessError
            The points cannot be the two ends on this photo.
        """

    @abstractmethod
    def placed_on_tire(self, result: Mapping[str, Any], name: str, marks: Sequence[Pixel]) -> PlacedValue:
        """Return what the points mean that a person placed on a tire's photo.

        Parameters
        ----------
        result : mapping
            The JSON of the photo's result.
        name : str
            ``"pressure_line_angle"``: the line's two ends.  ``"creep_arc"``: on the mark's part of
            the tire and on its part of the rim, each where it meets the flange's edge.

        Raises
        ------
        GearwitnessError
            The points cannot be those on this photo.
        """

    @abstractmethod
    def taken_at(self, photo: bytes) -> datetime | None:
        """Return when a photo was taken by its camera's clock; naive without a zone, None where untold."""

    @abstractmethod
    def leg_tags(self, photo: bytes) -> frozenset[int]:
        """Return the numbers of the leg tags that hang in a photo; none where it cannot be read."""


class Signatories(ABC):
    """The people, as far as the use cases need them."""

    @abstractmethod
    def find(self, person_id: str) -> Person:
        """Return the person with this id.

        Raises
        ------
        NotFound
            There is none.
        """

    @abstractmethod
    def check_password(self, person: Person, password: str) -> bool:
        """Return whether this is the person's password.

        Raises
        ------
        TooManyTries
            Too many wrong ones before: wait.
        """


class Jobs(ABC):
    """Where tries wait to be measured."""

    @abstractmethod
    def submit(self, try_id: str) -> None:
        """Have the try's photo measured soon; a second call for the same try changes nothing."""

    def before(self, try_id: str) -> int | None:
        """Return how many photos are read before this one; None where that is not known."""
        return None
