"""What is level in the wheel's plane: several witnesses, each with its doubt, compared.

Question -> file: one witness's angle `witness`; which one speaks, and do they agree `choose`.
"Parallel to the ground" and "level by gravity" are two statements: each level says which it is.
"""

from vision.level.choose import choose_level
from vision.level.witness import (
    Level,
    from_gravity,
    from_ground_line,
    from_ground_taps,
    from_horizon,
    from_level_edge,
    from_plumb_line,
)

__all__ = [
    "Level",
    "choose_level",
    "from_gravity",
    "from_ground_line",
    "from_ground_taps",
    "from_horizon",
    "from_level_edge",
    "from_plumb_line",
]
