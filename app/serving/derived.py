"""Files made from photos, kept so that they are made once: no part of the record, and thrown away freely."""

import re
import secrets
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

_NAME = re.compile(r"[0-9a-f]{64}")


class Derived:
    """A folder of them; several processes may use it, and it may be emptied at any time."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def get(self, sha: str, kind: str, make: Callable[[], bytes]) -> bytes:
        """Return the file of this kind that belongs to a photo, made now where it is not there.

        Parameters
        ----------
        sha : str
            SHA-256 of the photo, hex.
        kind : str
            What is made, and in which form of it: another form needs another name.
        make : callable

        Raises
        ------
        ValueError
            The name is no hash.
        """
        if _NAME.fullmatch(sha) is None:
            msg = f"a photo is named by 64 hexadecimal digits, not {sha[:80]!r}"
            raise ValueError(msg)
        path = self._folder / kind / sha[:2] / f"{sha}.jpg"
        try:
            return path.read_bytes()
        except OSError:
            pass
        data = make()
        # What cannot be kept, because the disc is full or read only, is made again the next time.
        with suppress(OSError):
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            under_way = path.with_name(f".{secrets.token_hex(8)}")
            try:
                under_way.write_bytes(data)
                under_way.replace(path)
            except OSError:
                under_way.unlink(missing_ok=True)
                raise
        return data
