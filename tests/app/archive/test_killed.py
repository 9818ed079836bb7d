"""Nothing that was acknowledged is lost when the process is killed, wherever it was."""

import os
from pathlib import Path

import pytest

from tests.app.both_grounds import Grounds
from tests.endurance.kill import LONGEST_DELAY_S, kill_often

KILLS = 30  # the long form: python -m tests.endurance kill --times 300

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")


def test_what_was_acknowledged_survives_thirty_kills_and_the_archive_verifies_after_each(
    grounds: Grounds, tmp_path: Path
) -> None:
    ground = grounds.new(tmp_path / "home")
    tally = kill_often(ground, KILLS, LONGEST_DELAY_S[grounds.name], seed=20240501)
    grounds.drop(ground)
    # Else the kills met nothing under way.
    assert tally["stored"] > 12
    assert tally["confirmed"] > 5
