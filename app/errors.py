"""What the application raises on purpose, beside `vision.errors`.

GearwitnessError          (vision.errors)
├── UsageError            the program was asked for something that cannot be done
├── InspectionError       the rules of the work refuse an act; the sentence is for the person who tried
│   ├── NotAllowed        not this person, or not now (over HTTP: 403)
│   │   └── TooManyTries  too many wrong passwords; wait (429)
│   ├── NotFound          there is no such thing (404)
│   └── Conflict          somebody else was first, or the thing is past this step (409)
├── ArchiveError          the archive cannot be opened, or what it holds is damaged
├── MeasuringError        a photo could not be measured: neither a reading nor a refusal came out
└── ProgrammeError        an inspection programme's file cannot be used; names every fault in it
"""

from vision.errors import GearwitnessError


class UsageError(GearwitnessError):
    """Wrong use: the command line's exit 2, with what to do instead."""


class InspectionError(GearwitnessError):
    """The rules of the work refuse an act: what was refused, why, what to do."""


class NotAllowed(InspectionError):  # noqa: N818 - named for what the person is told
    """This person may not do this, or not now."""


class TooManyTries(NotAllowed):
    """Too many wrong passwords in a row: the next try has to wait."""


class NotFound(InspectionError):  # noqa: N818
    """There is nothing with this id."""


class Conflict(InspectionError):  # noqa: N818
    """Somebody else was first, or the thing is past the step that was asked for."""


class ArchiveError(GearwitnessError):
    """The archive cannot be opened, or what it holds is damaged."""


class MeasuringError(GearwitnessError):
    """A photo could not be measured, and that is not the photo's refusal: why, and what to do."""


class ProgrammeError(GearwitnessError):
    """A programme's file cannot be read, or is faulty: every fault with line, cause and remedy."""
