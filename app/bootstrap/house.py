"""The working house: archive, people, use cases and the measuring, put together from the settings."""

import ipaddress
from dataclasses import dataclass
from pathlib import Path

from app.archive import DATABASE, Access, Archive, open_archive
from app.bootstrap.demo import Demo, open_demo
from app.errors import UsageError
from app.inspection import Inspections, SystemClock
from app.measuring.jobs import MeasuringJobs
from app.measuring.worker import Worker
from app.people import People
from app.settings import Settings

_DEMO_MARK = "this-is-a-demo"
"""A file that a demo's folder holds: everybody knows the passwords in it."""


@dataclass(frozen=True)
class House:
    """Everything that the screens and the routes need; `demo` is None but in the demo."""

    settings: Settings
    archive: Archive
    inspections: Inspections
    people: People
    jobs: MeasuringJobs
    demo: Demo | None = None

    @property
    def home(self) -> Path:
        """The folder of the archive."""
        return self.settings.home

    def start(self) -> None:
        """Start the measuring, and in a demo fill it."""
        self.jobs.start()
        if self.demo is not None:
            self.demo.start()

    def stop(self) -> None:
        """End both; what was being measured is taken up at the next start."""
        if self.demo is not None:
            self.demo.stop()
        self.jobs.stop()
        self.archive.close()


def build(settings: Settings, images: Path | None = None) -> House:
    """Return the house that these settings describe, not yet started.

    Parameters
    ----------
    settings : Settings
    images : Path, optional
        The demo's photos; needed in the demo only.

    Raises
    ------
    UsageError
        A demo is to be reached from other machines, or its folder is no demo's; or a demo's is to be used.
    ArchiveError
        The archive cannot be opened.
    """
    _check(settings)
    archive = archive_of(settings)
    try:
        return _furnished(settings, archive, images)
    except BaseException:
        archive.close()
        raise


def archive_of(settings: Settings) -> Archive:
    """Open the archive that these settings describe; close it when it is no longer needed.

    Raises
    ------
    ArchiveError
        It cannot be opened.
    """
    return open_archive(
        settings.home,
        database=settings.database,
        photos=settings.photos,
        access=Access(settings.photos_endpoint, settings.photos_key, settings.photos_secret),
        signing_key=settings.signing_key,
    )


def require_archive(settings: Settings) -> None:
    """Refuse to make a new archive where an old one is asked about.

    Raises
    ------
    UsageError
        There is none in the folder that these settings name.
    """
    if not settings.database and not (settings.home / DATABASE).is_file():
        msg = f"there is no archive in {settings.home}: give its folder with --home"
        raise UsageError(msg)


def is_loopback(address: str) -> bool:
    """Tell whether only this machine can reach a server that listens on this address."""
    try:
        return address == "localhost" or ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


def _furnished(settings: Settings, archive: Archive, images: Path | None) -> House:
    clock, worker = SystemClock(), Worker(tells_time=not settings.demo)
    people = People(archive.people, clock, settings.session_hours, device_days=settings.device_days)
    inspections = Inspections(archive.records, archive.photos, clock, worker, people)
    jobs = MeasuringJobs(inspections, worker)
    if not settings.demo:
        return House(settings, archive, inspections, people, jobs)
    if images is None:
        msg = "a demo needs the folder of its photos: start it with `gearwitness demo`"
        raise UsageError(msg)
    return House(settings, archive, inspections, people, jobs, open_demo(images, inspections, people, jobs))


def _check(settings: Settings) -> None:
    mark = settings.home / _DEMO_MARK
    used = settings.home.is_dir() and any(settings.home.iterdir())
    if not settings.demo:
        if mark.exists():
            msg = (
                f"{settings.home} holds a demo, whose passwords everybody knows: start it with "
                "`gearwitness demo --home`, or give another folder"
            )
            raise UsageError(msg)
        return
    if not is_loopback(settings.address):
        msg = (
            f"the demo's identities are for everybody who reaches it, and {settings.address} can be reached "
            "from other machines: leave the address at 127.0.0.1"
        )
        raise UsageError(msg)
    if settings.database or settings.photos:
        msg = (
            "a demo keeps everything in its own folder, because everybody knows its passwords: "
            "leave the settings database and photos empty for it"
        )
        raise UsageError(msg)
    if used and not mark.exists():
        msg = f"{settings.home} is no demo's folder: give the demo an empty one, or none"
        raise UsageError(msg)
    settings.home.mkdir(mode=0o700, parents=True, exist_ok=True)
    mark.touch()
