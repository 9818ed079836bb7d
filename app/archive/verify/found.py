"""What a verification finds, and what its steps hand to each other."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from app.archive.chain import Head
from app.archive.replay import Expected


@dataclass(frozen=True)
class Fault:
    """One thing that is not as it was entered: where, what is wrong there, and where that began.

    `began` is empty where `where` says it all.
    """

    where: str
    what: str
    began: str = ""

    def __str__(self) -> str:
        return f"{self.where}: {self.what}" + (f" [began: {self.began}]" if self.began else "")


class Progress(NamedTuple):
    """How far a verification is; `total` 0 is not known yet."""

    stage: str
    done: int
    total: int


Tell = Callable[[Progress], None]


@dataclass(frozen=True)
class Verification:
    """What a verification found.

    Attributes
    ----------
    orphans : tuple of str
        Files that no row refers to, as paths in the photo store.  They are
        harmless: what was being stored when a crash came, and was not acknowledged.
    deleted : tuple of str
        Hashes of photos that are gone because their deletion was entered.
    notes : tuple of str
        Sentences on how far this verification reaches.
    head : Head
        Where the archive's chain ends; an anchor for later.
    checked : mapping
        How many events, signatures, rows and files were looked at.
    """

    faults: tuple[Fault, ...]
    orphans: tuple[str, ...]
    deleted: tuple[str, ...] = field(default=(), compare=False)
    notes: tuple[str, ...] = field(default=(), compare=False)
    head: Head = field(default=Head(0, ""), compare=False)
    checked: Mapping[str, int] = field(default_factory=dict, compare=False)


class Key(NamedTuple):
    """A key that the archive's chain says was entered, and with which event."""

    number: int
    key_id: str
    public: str


class Signed(NamedTuple):
    """What the later checks need of a signature event."""

    by: str | None
    signed: str
    try_id: str | None
    blind_id: str | None


class Entered(NamedTuple):
    """The heads of one inspection's chain as the archive's chain holds them, in its order.

    `numbers` are the inspection's own, `places` the archive chain's.
    """

    numbers: list[int]
    hashes: list[str]
    places: list[int]


@dataclass
class Found:
    """What is gathered on the way."""

    faults: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    rows: Expected = field(default_factory=Expected)
    entered: dict[str, Entered] = field(default_factory=dict)
    ends: dict[str, Head] = field(default_factory=dict)
    differs: dict[str, str] = field(default_factory=dict)
    """Where an inspection's chain leaves the one whose heads were entered."""
    signed: dict[str, Signed] = field(default_factory=dict)
    hands: dict[str, bytes] = field(default_factory=dict)
    keys: list[Key] = field(default_factory=list)
    files: dict[str, str] = field(default_factory=dict)
    """Which row refers to a file, by the file's hash."""
    told_files: dict[str, str] = field(default_factory=dict)
    """Which event first told of a file, by the file's hash."""
    deleted: dict[str, str] = field(default_factory=dict)
    """Which event tells of a file's deletion, by the file's hash."""
    checked: dict[str, int] = field(default_factory=dict)

    def add(self, where: str, what: str, began: str = "") -> None:
        """Keep one fault."""
        self.faults.append(Fault(where, what, began))

    def count(self, what: str) -> int:
        """Count one more that was looked at."""
        self.checked[what] = self.checked.get(what, 0) + 1
        return self.checked[what]
