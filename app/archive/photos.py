"""Photos as files in a folder, each named by the SHA-256 of its bytes.

``photos/ab/abcd….bin``.  A file is written under another name, synced, renamed,
and its folder synced: it is whole under its name, or not there.
"""

import errno
import hashlib
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from app.archive.store import CHUNK, SHA, PhotoStore, Stored, name_of, sha_of
from app.errors import ArchiveError, NotFound
from app.inspection.canonical import sha256

_INCOMING = "incoming"
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_CLOSED = (errno.EACCES, errno.EPERM, errno.EROFS)


class PhotoFolder(PhotoStore):
    """A folder of photos; several processes may write to it.

    Raises
    ------
    ArchiveError
        The folder cannot be made.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._incoming = folder / _INCOMING
        with _told(folder):
            self._incoming.mkdir(parents=True, exist_ok=True)

    @property
    def address(self) -> str:
        """The folder."""
        return str(self._folder)

    def put(self, data: bytes) -> str:
        """Store bytes and return their SHA-256 once they are durable.

        Raises
        ------
        ArchiveError
            The disk is full, or the folder may not be written to.
        """
        sha = sha256(data)
        path = self.path(sha)
        with _told(self._folder):
            # A file of this name with other bytes is damaged; these bytes mend it.
            if not (path.is_file() and path.read_bytes() == data):
                if not path.parent.is_dir():
                    path.parent.mkdir(exist_ok=True)
                    _sync_folder(self._folder)
                self._write(path, data)
            # Also where it was there: another one may have renamed it and not synced yet.
            _sync_folder(path.parent)
        return sha

    def get(self, sha: str) -> bytes:
        """Return the bytes, checked against their name.

        Raises
        ------
        NotFound
            There are none of this name.
        ArchiveError
            They no longer have the hash that names them, or cannot be read.
        """
        if not self.has(sha):
            msg = f"There is no photo {sha[:64]!r} in the archive."
            raise NotFound(msg)
        with _told(self._folder):
            data = self.path(sha).read_bytes()
        if sha256(data) != sha:
            msg = f"The photo's file {name_of(sha)} was changed or damaged: restore it from a backup."
            raise ArchiveError(msg)
        return data

    def has(self, sha: str) -> bool:
        """Return whether there are bytes of this name."""
        return SHA.fullmatch(sha) is not None and self.path(sha).is_file()

    def path(self, sha: str) -> Path:
        """Return where the bytes of this name are, or would be."""
        return self._folder / name_of(sha)

    def stored(self) -> Iterator[Stored]:
        """Return every file in the folder, also such as do not belong there."""
        for path in sorted(self._folder.rglob("*")):
            if path.is_file():
                name = path.relative_to(self._folder).as_posix()
                yield Stored(name, sha_of(name), path.stat().st_size)

    def digest(self, sha: str) -> str | None:
        """Return the SHA-256 of the file of this name, or None where there is none."""
        found = hashlib.sha256()
        try:
            with _told(self._folder), self.path(sha).open("rb", buffering=0) as file:
                while read := file.read(CHUNK):
                    found.update(read)
        except FileNotFoundError:
            return None
        return found.hexdigest()

    def remove(self, sha: str) -> None:
        """Remove the file of this name for good."""
        if self.has(sha):
            with _told(self._folder):
                self.path(sha).unlink(missing_ok=True)
                _sync_folder(self.path(sha).parent)

    def _write(self, path: Path, data: bytes) -> None:
        under_way = self._incoming / secrets.token_hex(16)
        try:
            with under_way.open("xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            under_way.replace(path)
        except OSError:
            under_way.unlink(missing_ok=True)
            raise


@contextmanager
def _told(folder: Path) -> Iterator[None]:
    """What the file system refuses, in our own words."""
    try:
        yield
    except FileNotFoundError:
        raise
    except OSError as error:
        if error.errno in _FULL:
            msg = f"The disk of {folder} is full, so the photo was not stored: make room and send it again."
        elif error.errno in _CLOSED:
            msg = (
                f"The photos' folder {folder} may not be written to, so the photo was not stored: "
                "give this program's account the right to, and send it again."
            )
        else:
            msg = (
                f"The photos' folder {folder} cannot be used ({error.strerror or error}): "
                "see that its disk is there and whole, and try again."
            )
        raise ArchiveError(msg) from error


def _sync_folder(folder: Path) -> None:
    """Make renames in a folder durable; Windows has no such thing and needs none."""
    if os.name == "nt":
        return
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
