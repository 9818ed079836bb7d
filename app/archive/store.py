"""Where photos are kept, whatever it is: one small interface over a folder and a bucket.

Each file is named by the SHA-256 of its bytes, ``ab/abcd….bin``, in both.
"""

import re
from abc import abstractmethod
from collections.abc import Iterator
from typing import NamedTuple

from app.inspection.ports import Photos

SHA = re.compile(r"[0-9a-f]{64}")
CHUNK = 1 << 20
"""How many bytes are read at a time where a file is only hashed."""


class Stored(NamedTuple):
    """One file in the store.

    Attributes
    ----------
    name : str
        Its path within the store, with forward slashes.
    sha : str or None
        The hash that names it; None for a file that does not belong there.
    size : int
        Bytes.
    """

    name: str
    sha: str | None
    size: int


class PhotoStore(Photos):
    """The port `Photos`, with what looking after an archive needs beside it."""

    threads = 4
    """How many files are read at once where all are."""

    @property
    @abstractmethod
    def address(self) -> str:
        """Where it is, for a person; no secret is in it."""

    @abstractmethod
    def stored(self) -> Iterator[Stored]:
        """Return every file in the store, also such as do not belong there."""

    @abstractmethod
    def digest(self, sha: str) -> str | None:
        """Return the SHA-256 of what is stored under this name, in hex; None where there is nothing."""

    @abstractmethod
    def remove(self, sha: str) -> None:
        """Remove the bytes of this name for good; nothing happens where there are none."""


def name_of(sha: str) -> str:
    """Return the path within a store of the bytes with this hash."""
    return f"{sha[:2]}/{sha}.bin"


def sha_of(name: str) -> str | None:
    """Return the hash that a path within a store stands for, or None."""
    sha = name.rpartition("/")[2].removesuffix(".bin")
    return sha if SHA.fullmatch(sha) and name == name_of(sha) else None
