import os
from collections.abc import Callable, Iterator

import pytest

from tests.app.both_grounds import Grounds, empty_ground, ground, house, running
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse, open_round, programme

__all__ = ["empty_ground", "ground", "grounds", "house"]


# Hundreds of tests of rules: the tests of the archive and of the strut's path run on servers too,
# these only where it is asked for.
GROUNDS = ["files", "servers"] if os.environ.get("EVERY_GROUND") else ["files"]


@pytest.fixture(scope="session", params=GROUNDS)
def grounds(request: pytest.FixtureRequest) -> Iterator[Grounds]:
    """Where new archives can be made."""
    yield from running(request.param)


@pytest.fixture
def round_of(house: House) -> Callable[..., RoundHouse]:
    """Open a visit whose programme holds these items: ``round_of("hoses", "bolts")``."""
    return lambda *keys, **more: open_round(house, programme(*keys, **more))
