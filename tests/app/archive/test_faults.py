"""Disk full, read-only, server gone: a clear sentence, nothing acknowledged lost, and on it goes."""

import os
import resource
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from threading import Event, Thread

import pytest
from sqlalchemy import event

from app.archive import Verification, open_archive
from app.archive.failures import told
from app.errors import ArchiveError, Conflict
from app.inspection import Try
from tests.app.records_house import STATED, WITHIN, House, open_house
from tests.services.ground import Ground, Servers, missing, servers

NOBODY = 65534


@contextmanager
def files_no_longer_than(size: int) -> Iterator[None]:
    """Every write beyond this size of a file fails as on a full disk, in the kernel."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """Nobody may write below a folder; root, whom no mode stops, acts as another account meanwhile."""
    paths = [folder, *folder.rglob("*")]
    modes = {path: path.stat().st_mode for path in paths}
    for path in paths:
        path.chmod(0o555 if path.is_dir() else 0o444)
    is_root = os.geteuid() == 0
    if is_root:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if is_root:
            os.seteuid(0)
        for path, mode in modes.items():
            path.chmod(mode)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that every account can reach, which pytest's own are not."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(folder)


@pytest.fixture
def files_house(tmp_path: Path) -> Iterator[House]:
    opened = open_house(tmp_path / "home")
    yield opened
    opened.archive.close()


@pytest.fixture(scope="module")
def own_servers() -> Iterator[Servers]:
    """Servers that may be killed: others are not used by these tests."""
    lacking = missing()
    if lacking:
        pytest.skip(lacking)
    with pytest.MonkeyPatch.context() as patched:
        patched.delenv("TEST_POSTGRES", raising=False)
        patched.delenv("TEST_BUCKET", raising=False)
        with servers() as running:
            yield running


@pytest.fixture
def servers_house(own_servers: Servers, tmp_path: Path) -> Iterator[House]:
    opened = open_house(own_servers.new(tmp_path / "home"))
    yield opened
    # Where a test failed amid its fault, the next one finds both running.
    for server in (own_servers.postgres, own_servers.bucket):
        assert server is not None
        server.start()
    opened.archive.close()


def test_a_disk_that_is_full_for_the_photo_is_told_and_nothing_half_is_left(files_house: House) -> None:
    begun = files_house.inspections.begin_try(files_house.mechanic, files_house.primary.id, STATED)
    photo = os.urandom(300_000)
    with (
        files_no_longer_than(100_000),
        pytest.raises(
            ArchiveError, match=r"The disk of .*photos is full, so the photo was not stored: make room"
        ),
    ):
        files_house.inspections.photo_arrived(files_house.mechanic, begun.id, photo)
    assert files_house.archive.verify() == Verification((), ())
    kept = files_house.inspections.photo_arrived(files_house.mechanic, begun.id, photo)
    assert files_house.archive.photos.get(kept.photo or "") == photo


def test_a_disk_that_is_full_for_the_row_is_told_and_the_photo_is_harmless(files_house: House) -> None:
    begun = files_house.inspections.begin_try(files_house.mechanic, files_house.primary.id, STATED)
    with (
        files_no_longer_than(8192),
        pytest.raises(
            ArchiveError, match="database cannot be written, as on a full disk, so nothing was changed"
        ),
    ):
        files_house.inspections.photo_arrived(files_house.mechanic, begun.id, b"a small photo")
    found = files_house.archive.verify()
    assert (found.faults, len(found.orphans)) == ((), 1)
    files_house.inspections.photo_arrived(files_house.mechanic, begun.id, b"a small photo")
    assert files_house.archive.verify() == Verification((), ())


def test_a_photo_folder_that_may_only_be_read_is_told(open_folder: Path) -> None:
    with open_archive(open_folder / "home") as archive:
        (open_folder / "home").chmod(0o755)
        photos = open_folder / "home" / "photos"
        with (
            read_only(photos),
            pytest.raises(ArchiveError, match="photos may not be written to, so the photo was"),
        ):
            archive.photos.put(b"a photo")
        assert archive.photos.get(archive.photos.put(b"a photo")) == b"a photo"


def test_an_archive_folder_that_may_only_be_read_is_told(open_folder: Path) -> None:
    home = open_folder / "home"
    house = open_house(home)
    home.chmod(0o755)
    house.archive.close()
    with read_only(home), pytest.raises(ArchiveError, match=r"may not be written to|cannot be read"):
        open_house(home).archive.close()
    house = open_house(home)
    house.confirmed(WITHIN)
    assert house.archive.verify().faults == ()
    house.archive.close()


def test_a_bucket_that_is_down_is_told_and_the_try_waits_for_its_photo(
    own_servers: Servers, servers_house: House
) -> None:
    use = servers_house.inspections
    before = servers_house.stored()
    begun = use.begin_try(servers_house.mechanic, servers_house.supporting.id, STATED)
    bucket = own_servers.bucket
    assert bucket is not None
    bucket.kill()
    try:
        with pytest.raises(
            ArchiveError, match=r"The bucket photos cannot be reached or fails .*nothing was stored"
        ):
            use.photo_arrived(servers_house.mechanic, begun.id, b"a photo")
        with pytest.raises(ArchiveError, match="nothing was read"):
            servers_house.archive.photos.get(before.photo or "")
        with pytest.raises(ArchiveError, match="nothing was opened"):
            servers_house.ground.open()
        assert use.try_of(servers_house.mechanic, begun.id).photo is None
    finally:
        bucket.start()
    kept = use.photo_arrived(servers_house.mechanic, begun.id, b"a photo")
    assert servers_house.archive.photos.get(kept.photo or "") == b"a photo"
    assert servers_house.archive.verify() == Verification((), ())


def test_a_database_killed_amid_a_change_is_told_and_leaves_nothing_of_it(
    own_servers: Servers, servers_house: House
) -> None:
    server = own_servers.postgres
    assert server is not None
    head = servers_house.archive.head()
    with (
        pytest.raises(ArchiveError, match="database cannot be reached, so nothing was changed: try again"),
        servers_house.archive.records.begin() as work,
    ):
        work.enter("test", None, None, data={})
        server.kill()
        work.enter("test", None, None, data={})
    with pytest.raises(ArchiveError, match="cannot be reached"):
        servers_house.stored()
    server.start()
    assert servers_house.archive.head() == head
    servers_house.confirmed(WITHIN)
    assert servers_house.archive.verify().faults == ()


def test_a_database_killed_while_it_commits_leaves_the_end_open_and_says_so(
    own_servers: Servers, servers_house: House
) -> None:
    server = own_servers.postgres
    assert server is not None

    kills = iter([server.kill])

    def kill(_: object) -> None:
        next(kills, lambda: None)()

    event.listen(servers_house.archive.engine, "commit", kill)
    with pytest.raises(
        ArchiveError, match="may be there or not: look at what is there before you do it again"
    ):
        servers_house.inspections.begin_try(servers_house.mechanic, servers_house.primary.id, STATED)
    server.start()
    assert servers_house.archive.verify().faults == ()


def test_nothing_acknowledged_is_lost_when_the_database_is_restarted_under_writing(
    own_servers: Servers, servers_house: House
) -> None:
    server = own_servers.postgres
    assert server is not None
    stop, done, complaints = Event(), [], []

    def photograph() -> None:
        while not stop.is_set():
            try:
                done.append(servers_house.stored())
            except (ArchiveError, Conflict) as error:
                complaints.append(error)
                time.sleep(0.05)

    def wait_for_more() -> None:
        wanted, ends = len(done) + 2, time.monotonic() + 60
        while len(done) < wanted and time.monotonic() < ends:
            time.sleep(0.01)

    thread = Thread(target=photograph)
    thread.start()
    for moment_s in (0.0, 0.03, 0.11):
        wait_for_more()
        time.sleep(moment_s)
        server.kill()
        time.sleep(0.1)
        server.start()
    wait_for_more()
    stop.set()
    thread.join(60)
    assert complaints
    assert len(done) >= 8
    with servers_house.archive.records.look() as r:
        for one in done:
            assert r.get(Try, one.id).photo == one.photo
            assert servers_house.archive.photos.has(one.photo or "")
    assert servers_house.archive.verify().faults == ()


def test_wrong_access_is_told_without_a_secret(own_servers: Servers, servers_house: House) -> None:
    ground = servers_house.ground
    server = own_servers.postgres
    assert server is not None
    wrong = {
        "refuses this name or password": replace(ground, database=ground.database.replace("only", "0n1y")),
        "or is not there": replace(ground, database=server.address_of("nowhere")),
        "refuses the access key": replace(ground, secret="not-the-secret"),
        "There is no bucket nowhere": replace(ground, photos="s3://nowhere/x"),
        "cannot be reached": replace(ground, endpoint="http://127.0.0.1:9"),
    }
    for said, other in wrong.items():
        with pytest.raises(ArchiveError, match=said) as caught:
            other.open()
        assert not any(
            secret in str(caught.value) for secret in ("0n1y", "for%20the", "not-the", ground.secret)
        )
    assert ground.secret not in repr(ground.access)


def test_a_database_in_another_encoding_is_refused(own_servers: Servers, tmp_path: Path) -> None:
    own_servers._run("CREATE DATABASE {} TEMPLATE template0 ENCODING 'LATIN1' LOCALE 'C'", "latin")
    server = own_servers.postgres
    assert server is not None
    ground = replace(own_servers.new(tmp_path / "home"), database=server.address_of("latin"))
    with pytest.raises(ArchiveError, match="keeps text as LATIN1: make one with the encoding UTF8"):
        ground.open()


def test_what_is_no_fault_of_the_database_goes_through_unchanged() -> None:
    with pytest.raises(ZeroDivisionError), told():
        _ = 1 / 0


def test_a_file_that_is_no_database_is_told(tmp_path: Path) -> None:
    (tmp_path / "archive.sqlite3").write_bytes(b"no database, but more than a hundred bytes of it" * 20)
    with pytest.raises(ArchiveError, match="database is damaged: restore it from a backup"):
        Ground(tmp_path).open()
