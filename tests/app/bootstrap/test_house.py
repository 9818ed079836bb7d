"""The house put together: what is refused before anything is opened, and whose it is."""

from collections.abc import Iterator
from pathlib import Path

import pytest

import app.bootstrap
from app.bootstrap import House, build, is_loopback, the_house, use
from app.errors import UsageError
from app.settings import Settings
from tests.app.cli_files import ROOT

IMAGES = ROOT / "demo_images"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"


@pytest.fixture
def opened() -> Iterator[list[House]]:
    """Houses that were built, to be closed at the end; none was started."""
    houses: list[House] = []
    yield houses
    for house in houses:
        house.archive.close()


def test_a_new_folder_becomes_an_archive_without_people(home: Path, opened: list[House]) -> None:
    opened.append(build(Settings(home)))
    assert opened[0].people.everyone() == ()
    assert opened[0].demo is None
    assert home.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    ("address", "own"),
    [
        ("127.0.0.1", True), ("127.1.2.3", True), ("::1", True), ("localhost", True),
        ("0.0.0.0", False), ("192.0.2.7", False), ("::", False), ("hangar.example", False), ("", False),
        ("localhost.example", False), ("127.0.0.1.example", False),
    ],
)  # fmt: skip
def test_what_only_this_machine_can_reach(address: str, own: bool) -> None:
    assert is_loopback(address) is own


@pytest.mark.parametrize("address", ["0.0.0.0", "192.0.2.7", "::", "hangar.example"])
def test_a_demo_that_others_can_reach_is_refused_before_its_folder_is_made(home: Path, address: str) -> None:
    with pytest.raises(UsageError, match="can be reached from other machines: leave the address at 127"):
        build(Settings(home, address=address, demo=True), IMAGES)
    assert not home.exists()


def test_a_demo_s_folder_is_never_served_as_an_archive(home: Path, opened: list[House]) -> None:
    opened.append(build(Settings(home, demo=True), IMAGES))
    with pytest.raises(UsageError, match="holds a demo, whose passwords everybody knows"):
        build(Settings(home))


def test_an_archive_is_never_made_a_demo(home: Path, opened: list[House]) -> None:
    opened.append(build(Settings(home)))
    with pytest.raises(UsageError, match="is no demo's folder: give the demo an empty one"):
        build(Settings(home, demo=True), IMAGES)
    assert opened[0].people.everyone() == ()


def test_a_demo_without_its_photos_is_refused_with_where_they_are(home: Path, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=r"nose\.toml is missing: .* as it is in a clone"):
        build(Settings(home, demo=True), tmp_path)
    with pytest.raises(UsageError, match="start it with `gearwitness demo`"):
        build(Settings(home, demo=True))


def test_the_house_of_the_process_is_the_one_that_was_given(
    home: Path, opened: list[House], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(app.bootstrap, "_IN_USE", [])
    with pytest.raises(UsageError, match="use `gearwitness serve` or `gearwitness demo`"):
        the_house()
    opened.append(build(Settings(home)))
    assert use(opened[0]) is opened[0]
    assert the_house() is opened[0]


@pytest.mark.parametrize(
    "told", [{"database": "postgresql://gear@db/gear"}, {"photos": "s3://photos"}], ids=["database", "photos"]
)
def test_a_demo_never_puts_its_people_into_a_shops_database(home: Path, told: dict[str, str]) -> None:
    with pytest.raises(UsageError, match="a demo keeps everything in its own folder"):
        build(Settings(home, demo=True, **told), IMAGES)
    assert not home.exists()
