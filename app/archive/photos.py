"""Photos as files in a folder, each named by the SHA-256 of its bytes: the port `Photos`.

``photos/ab/abcd….bin``.  A file is written under another name, synced, renamed,
and its folder synced: it is whole under its name, or not there.
"""

import os
import re
import secrets
from collections.abc import Iterator
from pathlib import Path

from app.errors import ArchiveError, NotFound
from app.inspection.canonical import sha256
from app.inspection.ports import Photos

_SHA = re.compile(r"[0-9a-f]{64}")
_INCOMING = "incoming"


class PhotoFolder(Photos):
    """A folder of photos; several processes may write to it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._incoming = folder / _INCOMING
        self._incoming.mkdir(parents=True, exist_ok=True)

    def put(self, data: bytes) -> str:
        """Store bytes and return their SHA-256 once they are durable."""
        sha = sha256(data)
        path = self.path(sha)
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
            They no longer have the hash that names them.
        """
        if not self.has(sha):
            msg = f"There is no photo {sha[:64]!r} in the archive."
            raise NotFound(msg)
        data = self.path(sha).read_bytes()
        if sha256(data) != sha:
            name = self.name_of(self.path(sha))
            msg = f"The photo's file {name} was changed or damaged: restore it from a backup."
            raise ArchiveError(msg)
        return data

    def has(self, sha: str) -> bool:
        """Return whether there are bytes of this name."""
        return _SHA.fullmatch(sha) is not None and self.path(sha).is_file()

    def path(self, sha: str) -> Path:
        """Return where the bytes of this name are, or would be."""
        return self._folder / sha[:2] / f"{sha}.bin"

    def files(self) -> Iterator[Path]:
        """Return every file in the folder, also such as do not belong there."""
        return (path for path in sorted(self._folder.rglob("*")) if path.is_file())

    def name_of(self, path: Path) -> str:
        """Return a file's path within the folder, with forward slashes."""
        return path.relative_to(self._folder).as_posix()

    def _write(self, path: Path, data: bytes) -> None:
        under_way = self._incoming / secrets.token_hex(16)
        with under_way.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        under_way.replace(path)


def _sync_folder(folder: Path) -> None:
    """Make renames in a folder durable; Windows has no such thing and needs none."""
    if os.name == "nt":
        return
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
