"""Ten people at once on servers; the long form is ``python -m tests.endurance people --seconds 600``."""

from pathlib import Path

from tests.app.both_grounds import Grounds
from tests.endurance.people import ten_at_once

SECONDS = 60


def test_ten_people_at_once_lose_no_update_and_confirm_nothing_twice(
    grounds: Grounds, tmp_path: Path
) -> None:
    seconds = SECONDS if grounds.name == "servers" else 5
    ground = grounds.new(tmp_path / "home")
    done = ten_at_once(ground, seconds, seed=20240502)
    grounds.drop(ground)
    assert done["confirmed"] >= 6
    assert done["inspection-closed"] > 0
    assert done["refused"] > 20  # else they did not meet
