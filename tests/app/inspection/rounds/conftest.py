from collections.abc import Callable

import pytest

from tests.app.both_grounds import empty_ground, ground, grounds, house
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse, open_round, programme

__all__ = ["empty_ground", "ground", "grounds", "house"]


@pytest.fixture
def round_of(house: House) -> Callable[..., RoundHouse]:
    """Open a visit whose programme holds these items: ``round_of("hoses", "bolts")``."""
    return lambda *keys, **more: open_round(house, programme(*keys, **more))
