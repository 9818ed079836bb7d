"""What the application raises on purpose, beside `vision.errors`.

GearwitnessError          (vision.errors)
└── UsageError            the program was asked for something that cannot be done
"""

from vision.errors import GearwitnessError


class UsageError(GearwitnessError):
    """Wrong use: the command line's exit 2, with what to do instead."""
