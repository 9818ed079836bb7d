"""The short form of the round through a cut; ``python -m tests.endurance round`` cuts the network for ten minutes."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.app.rounds_house import programme
from tests.browser.round_through_cuts import ITEMS, LEGS, go_round
from tests.browser.shop_server import ShopServer, set_up
from tests.browser.test_two_people import axe

__all__ = ["axe"]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[ShopServer]:
    set_up(tmp_path / "home", programme(*ITEMS))
    server = ShopServer(tmp_path / "home")
    server.start()
    yield server
    server.kill()


def test_two_phones_go_round_through_a_cut_and_a_new_server_and_nothing_is_lost_or_double(
    chromium: Any, shop: ShopServer, axe: Any
) -> None:
    held = go_round(chromium, shop, axe, cut_s=5)
    assert held.items == len(ITEMS) * LEGS
    assert sorted(held.answers.values()) == [1] * held.items
    assert held.unsigned == 0
    assert held.faults == ()
    assert not held.complaints, "\n".join(held.complaints)
