"""Memory of a measurement, in a process of its own; `python -m tests.accuracy speed` tells the time too.

The time is no test: it is told as a ratio to the decoding of the same bytes, and on a machine that does
other work at the same moment such a ratio is chance.
"""

from pathlib import Path

import pytest

from tests.accuracy.speed import ALLOWED_MEMORY, DEMO, measure

pytestmark = pytest.mark.skipif(not Path("/proc/self/clear_refs").exists(), reason="memory is told by Linux")


def test_a_reading_needs_at_most_six_times_the_memory_of_the_decoded_picture() -> None:
    # Measured: 4.5 to 4.8 on the demo photos of 12 megapixels.
    told = measure(DEMO / "reads_within" / "nose_hangar.jpg", DEMO, 1)
    assert told["status"] == "reading"
    assert 1.0 < float(told["memory_ratio"]) <= ALLOWED_MEMORY
