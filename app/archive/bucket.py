"""Photos as objects in an S3-compatible bucket, each named by the SHA-256 of its bytes.

``s3://BUCKET/PREFIX/ab/abcd….bin``.  An object appears whole or not at all; after it
was put, the server is asked what it holds, and only bytes with the right hash are
acknowledged.
"""

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

from app.archive.store import SHA, PhotoStore, Stored, name_of, sha_of
from app.errors import ArchiveError, NotFound, UsageError
from app.inspection.canonical import sha256


class Access(NamedTuple):
    """How a bucket's server is reached.

    Attributes
    ----------
    endpoint : str
        The server's address; empty is the provider's own.
    key, secret : str
        Access key and its secret; empty asks the usual AWS variables and files.
    """

    endpoint: str = ""
    key: str = ""
    secret: str = ""

    def __repr__(self) -> str:
        return f"Access({self.endpoint!r}, …)"


class PhotoBucket(PhotoStore):
    """A bucket of photos; several machines may write to it.

    Parameters
    ----------
    address : str
        ``s3://BUCKET`` or ``s3://BUCKET/PREFIX``.

    Raises
    ------
    UsageError
        This is no such address.
    ArchiveError
        The bucket cannot be reached, is not there, or refuses the key.
    """

    threads = 8

    def __init__(self, address: str, access: Access | None = None) -> None:
        bucket, _, prefix = address.removeprefix("s3://").strip("/").partition("/")
        if not bucket or not address.startswith("s3://"):
            msg = f"{address!r} is no bucket's address: give s3://BUCKET/PREFIX"
            raise UsageError(msg)
        self._bucket = bucket
        self._root = f"{bucket}/{prefix}".rstrip("/")
        self._files = _file_system(access or Access())
        with self._told("opened"):
            # Asked now: later a missing bucket would look like one without this photo.
            self._files.call_s3("list_objects_v2", Bucket=bucket, Prefix=prefix, MaxKeys=1)

    @property
    def address(self) -> str:
        """The bucket and the prefix."""
        return f"s3://{self._root}"

    def put(self, data: bytes) -> str:
        """Store bytes and return their SHA-256 once the server says that it holds them.

        Raises
        ------
        ArchiveError
            The bucket cannot be reached or refuses, or does not hold what it was given.
        """
        sha = sha256(data)
        with self._told("stored"):
            if not self._holds(sha, data):
                self._files.pipe_file(self._path(sha), data)
                if not self._holds(sha, data):
                    msg = (
                        "The bucket does not hold the photo as it was given, so it counts as not stored: "
                        "send it again."
                    )
                    raise ArchiveError(msg)
        return sha

    def get(self, sha: str) -> bytes:
        """Return the bytes, checked against their name.

        Raises
        ------
        NotFound
            There are none of this name.
        ArchiveError
            They no longer have the hash that names them, or the bucket cannot be reached.
        """
        data = None
        if SHA.fullmatch(sha):
            with self._told("read"):
                data = self._read(sha)
        if data is None:
            msg = f"There is no photo {sha[:64]!r} in the archive."
            raise NotFound(msg)
        if sha256(data) != sha:
            msg = f"The photo's object {name_of(sha)} was changed or damaged: restore it from a backup."
            raise ArchiveError(msg)
        return data

    def has(self, sha: str) -> bool:
        """Return whether there are bytes of this name."""
        if SHA.fullmatch(sha) is None:
            return False
        with self._told("looked for"):
            return bool(self._files.exists(self._path(sha)))

    def stored(self) -> Iterator[Stored]:
        """Return every object below the prefix, also such as do not belong there."""
        with self._told("listed"):
            found = self._files.find(self._root, detail=True, refresh=True)
        for path, told in sorted(found.items()):
            name = path.removeprefix(f"{self._root}/")
            yield Stored(name, sha_of(name), int(told["size"]))

    def digest(self, sha: str) -> str | None:
        """Return the SHA-256 of the object of this name, or None where there is none."""
        with self._told("read"):
            data = self._read(sha)
        return None if data is None else sha256(data)

    def remove(self, sha: str) -> None:
        """Remove the object of this name for good."""
        if self.has(sha):
            with self._told("removed"):
                self._files.rm_file(self._path(sha))

    def _path(self, sha: str) -> str:
        return f"{self._root}/{name_of(sha)}"

    def _read(self, sha: str) -> bytes | None:
        try:
            return bytes(self._files.cat_file(self._path(sha)))
        except FileNotFoundError:
            return None

    def _holds(self, sha: str, data: bytes) -> bool:
        """Ask the server, not any memory of ours, whether it holds these bytes."""
        try:
            told = self._files.info(self._path(sha), refresh=True)
        except FileNotFoundError:
            return False
        if int(told["size"]) != len(data):
            return False
        # The tag is the MD5 on servers that neither encrypt nor split; elsewhere the bytes are read back.
        tag = str(told.get("ETag", "")).strip('"')
        return tag == hashlib.md5(data, usedforsecurity=False).hexdigest() or self._read(sha) == data

    @contextmanager
    def _told(self, done: str) -> Iterator[None]:
        """What the bucket's server refuses or cannot do, in our own words and without any key."""
        try:
            yield
        except ArchiveError:
            raise
        except PermissionError as error:
            msg = (
                f"The bucket {self._bucket} refuses the access key, so nothing was {done}: "
                "check key and secret."
            )
            raise ArchiveError(msg) from error
        except FileNotFoundError as error:
            msg = f"There is no bucket {self._bucket}, so nothing was {done}: make it, or check its address."
            raise ArchiveError(msg) from error
        except Exception as error:
            if not _is_the_servers(error):
                raise
            msg = (
                f"The bucket {self._bucket} cannot be reached or fails ({type(error).__name__}), "
                f"so nothing was {done}: see that its server runs, and try again."
            )
            raise ArchiveError(msg) from error


def _file_system(access: Access) -> Any:
    """Return the bucket's file system; no listing is remembered, because others write too."""
    try:
        import s3fs  # noqa: PLC0415 - an extra
    except ImportError as error:
        msg = "Photos in a bucket need s3fs: install this program with its extra, gearwitness[shop]."
        raise ArchiveError(msg) from error
    return s3fs.S3FileSystem(
        key=access.key or None,
        secret=access.secret or None,
        endpoint_url=access.endpoint or None,
        use_listings_cache=False,
        config_kwargs={"connect_timeout": 5, "read_timeout": 60, "retries": {"max_attempts": 3}},
    )


def _is_the_servers(error: Exception) -> bool:
    """Tell an error of the way to the server from a fault in this program."""
    from botocore.exceptions import BotoCoreError, ClientError  # noqa: PLC0415 - comes with s3fs

    return isinstance(error, OSError | TimeoutError | BotoCoreError | ClientError)
