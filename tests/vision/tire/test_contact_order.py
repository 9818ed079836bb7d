"""Which of the steps under a wheel is read: the topmost that can be, and none far fainter than one that cannot."""

from collections.abc import Sequence

import numpy as np
import pytest

from vision.tire import contact as room
from vision.tire.contact import Contact, find_contact
from vision.tire.profile import Ground

DOWN = np.array([0.0, 1.0])


def found(monkeypatch: pytest.MonkeyPatch, steps: Sequence[tuple[float, float, bool]]) -> float | None:
    """The distance (mm) of the contact that is read, of steps with distance, ln(light), whether it can be read."""
    grounds = {distance: Ground(DOWN, distance) for distance, _, _ in steps}
    can = {distance: read for distance, _, read in steps}

    def read(*args: object) -> Contact | None:
        ground = args[4]
        assert isinstance(ground, Ground)
        nothing = np.zeros((0, 2)), np.zeros(0)
        return Contact(*nothing, 0.1, ground, 1.0, 1.0) if can[ground.distance] else None

    monkeypatch.setattr(room, "_search", lambda *_: iter([(grounds[d], 1.0, step) for d, step, _ in steps]))
    monkeypatch.setattr(room, "_refined", read)
    contact = find_contact(None, None, None, None, None)  # type: ignore[arg-type]
    return None if contact is None else contact.ground.distance


def test_the_topmost_that_can_be_read_is_the_contact_also_where_it_is_faint(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert found(monkeypatch, [(470.0, 0.2, True), (500.0, 1.2, True)]) == 470.0


def test_below_a_plain_step_that_cannot_be_read_a_faint_one_is_no_contact(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # A traced tire of 1.1 m: the contact in its own deep shadow, and a shadow's edge 55 mm below it.
    assert found(monkeypatch, [(477.0, 1.13, False), (524.0, 0.30, True)]) is None


def test_below_a_faint_step_that_cannot_be_read_a_plain_one_is_the_contact(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert found(monkeypatch, [(440.0, 0.3, False), (470.0, 1.0, True)]) == 470.0
