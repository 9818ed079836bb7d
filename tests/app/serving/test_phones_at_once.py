"""Several phones at once, shortly; the long form is ``python -m tests.endurance phones``."""

import statistics
from pathlib import Path

import pytest

from tests.endurance.phones import at_once


@pytest.mark.skipif(not Path("/proc/self/smaps_rollup").is_file(), reason="looks at memory as Linux shows it")
def test_photos_of_several_phones_at_once_are_all_stored_and_each_is_told_its_place(tmp_path: Path) -> None:
    found = at_once(tmp_path / "home", 4, patience_s=100)
    assert (found.stored, found.measured) == (4, 4)
    assert max(found.places) >= 2
    assert 0 < found.memory < 2e9
    assert statistics.median(found.desk_s) < 1
