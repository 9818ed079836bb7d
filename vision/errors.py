"""Errors that mean wrong use or unreadable data (the command line's exit 2).

GearwitnessError
├── PhotoError    the bytes are not a photo that can be read
├── CardError     a scale card's definition contradicts itself
├── LegError      a leg's data is missing, contradicts itself or looks like another unit
├── CameraError   a camera calibration file is unusable
└── RegionError   a piece of a photo was asked for that is not in it

A photo that *can* be read but does not carry a measurement is no error: it
gives a `vision.results.Refusal`.  Every message says what was wrong, where,
and what to do.
"""


class GearwitnessError(Exception):
    """Base of everything this project raises on purpose."""


class PhotoError(GearwitnessError):
    """The bytes are not a photo that can be read within the limits."""


class CardError(GearwitnessError):
    """A scale card's definition is unusable."""


class LegError(GearwitnessError):
    """A leg's data is unusable."""


class CameraError(GearwitnessError):
    """A camera calibration is unusable or belongs to another camera."""


class RegionError(GearwitnessError):
    """A piece of a photo was asked for that is not in it."""
