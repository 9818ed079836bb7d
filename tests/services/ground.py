"""Where an archive of the tests lies: in a folder, or in a database and a bucket on servers."""

import contextlib
import json
import os
import shutil
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import psycopg
import s3fs
from psycopg import sql

from app.archive import Access, Archive, open_archive
from app.inspection import Clock
from tests.services import bucket as bucket_server
from tests.services import postgres as postgres_server
from tests.services.bucket import BucketServer
from tests.services.postgres import PostgresServer, new_name


@dataclass(frozen=True)
class Ground:
    """What `open_archive` is told; `key` and `secret` are those of the tests' own servers."""

    home: Path
    database: str = ""
    photos: str = ""
    endpoint: str = ""
    key: str = ""
    secret: str = field(default="", repr=False)

    @property
    def access(self) -> Access:
        """How the bucket is reached."""
        return Access(self.endpoint, self.key, self.secret)

    def open(self, clock: Clock | None = None) -> Archive:
        """Open the archive that lies here."""
        return open_archive(self.home, clock, database=self.database, photos=self.photos, access=self.access)

    def environment(self) -> dict[str, str]:
        """The settings by which the program finds this archive."""
        told = {
            "HOME": str(self.home), "DATABASE": self.database, "PHOTOS": self.photos,
            "PHOTOS_ENDPOINT": self.endpoint, "PHOTOS_KEY": self.key, "PHOTOS_SECRET": self.secret,
        }  # fmt: skip
        return {f"GEARWITNESS_{name}": value for name, value in told.items() if value}

    def words(self) -> str:
        """This ground in one word for another process."""
        return json.dumps([str(self.home), self.database, self.photos, self.endpoint, self.key, self.secret])


def ground_of(words: str) -> Ground:
    """The ground that `Ground.words` told."""
    home, *rest = json.loads(words)
    return Ground(Path(home), *rest)


class Files:
    """New grounds in folders."""

    name = "files"

    def new(self, home: Path) -> Ground:
        """An empty ground."""
        return Ground(home)

    def copy(self, ground: Ground, home: Path) -> Ground:
        """All of a ground once more, in another folder."""
        shutil.copytree(ground.home, home)
        return replace(ground, home=home)

    def drop(self, ground: Ground) -> None:
        """Forget a ground; its folder goes with the test's."""

    def stop(self) -> None:
        """Nothing runs."""


class Servers:
    """New grounds on a PostgreSQL server and a bucket server.

    Those that the environment names, else some of its own, started here.
    """

    name = "servers"

    def __init__(self) -> None:
        named = os.environ.get("TEST_POSTGRES")
        self.postgres = None if named else PostgresServer()
        self.address = named or self.postgres.address  # type: ignore[union-attr]
        named = os.environ.get("TEST_BUCKET")
        try:
            self.bucket = None if named else BucketServer()
        except BaseException:
            self.stop()
            raise
        if self.bucket is None:
            told = (os.environ.get(f"TEST_BUCKET_{name}", "") for name in ("ENDPOINT", "KEY", "SECRET"))
            self._photos, self._access = str(named), Access(*told)
        else:
            self._photos = self.bucket.address
            self._access = Access(self.bucket.endpoint, bucket_server.KEY, bucket_server.SECRET)

    def new(self, home: Path) -> Ground:
        """An empty ground: a database and a place in the bucket that nobody has."""
        return self._made(home, "template1")

    def copy(self, ground: Ground, home: Path) -> Ground:
        """All of a ground once more; nobody may have it open."""
        made = self._made(home, ground.database.rpartition("/")[2])
        shutil.copytree(ground.home, home)
        files = self._bucket_files()
        for path in files.find(ground.photos):
            files.cp_file(path, made.photos.removeprefix("s3://") + path.removeprefix(ground.photos[5:]))
        return made

    def drop(self, ground: Ground) -> None:
        """Drop a ground's database, whoever has it open."""
        self._run("DROP DATABASE {} WITH (FORCE)", ground.database.rpartition("/")[2])

    def stop(self) -> None:
        """End what was started here."""
        for server in (getattr(self, "bucket", None), self.postgres):
            if server is not None:
                server.stop()

    def _bucket_files(self) -> s3fs.S3FileSystem:
        return s3fs.S3FileSystem(
            key=self._access.key, secret=self._access.secret, endpoint_url=self._access.endpoint,
            use_listings_cache=False,
        )  # fmt: skip

    def _made(self, home: Path, template: str) -> Ground:
        name = new_name()
        self._run("CREATE DATABASE {} TEMPLATE {}", name, template)
        return Ground(
            home,
            self.address.rpartition("/")[0] + "/" + name,
            f"{self._photos}/{uuid.uuid4().hex}",
            *self._access,
        )

    def _run(self, statement: str, *names: str) -> None:
        with psycopg.connect(self.address, autocommit=True) as connection:
            connection.execute(sql.SQL(statement).format(*map(sql.Identifier, names)))


def missing() -> str | None:
    """What has to be started or installed before there can be `Servers`, or None."""
    if not os.environ.get("TEST_POSTGRES") and postgres_server.binaries() is None:
        return postgres_server.MISSING
    if not os.environ.get("TEST_BUCKET") and bucket_server.binary() is None:
        return bucket_server.MISSING
    return None


@contextlib.contextmanager
def servers() -> Iterator[Servers]:
    """`Servers` for as long as the block lasts."""
    made = Servers()
    try:
        yield made
    finally:
        made.stop()
