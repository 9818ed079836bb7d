"""The work of an inspection: who may do what, when, and what follows; no database, no screens, no HTTP.

question                                                file
what there is                                           model.py
what is shown of it                                     views.py
agreement, outcome, settling by hand (pure)             rules.py
how an item moves on                                    settling.py
who may see what before he has read himself             rounds/sight.py
what is needed from outside                             ports.py
the use cases together                                  service.py
aircraft, legs, inspections                             visits.py
begin, photo, own rule reading, send                    tries.py
photos that wait for their leg                          gathering.py, gathered.py
from the photo to its result                            measuring.py
queue, placing, comparison, signature                   confirming.py, comparing.py
hand measurements                                       by_hand.py
story, archive, pictures                                looking.py
finding settled work, a leg's past readings             finding.py, history.py
a value as bytes that can be hashed                     canonical.py
"""

from app.inspection.model import (
    STRUT_EXTENSION,
    Aircraft,
    Basis,
    BlindReading,
    Confirmation,
    Discrepancy,
    DiscrepancyState,
    HandReading,
    Inspection,
    Item,
    ItemState,
    LegEntry,
    Measured,
    Outcome,
    Person,
    Pixel,
    PlacedLength,
    PlacedValue,
    Role,
    Try,
    TryState,
)
from app.inspection.ports import Clock, Jobs, Measurer, Photos, Records, Signatories, SystemClock
from app.inspection.service import Inspections
from app.inspection.views import (
    ArchiveFilter,
    ArchiveRow,
    Bare,
    Comparison,
    Hand,
    Place,
    Story,
    Waiting,
)

__all__ = [
    "STRUT_EXTENSION",
    "Aircraft",
    "ArchiveFilter",
    "ArchiveRow",
    "Bare",
    "Basis",
    "BlindReading",
    "Clock",
    "Comparison",
    "Confirmation",
    "Discrepancy",
    "DiscrepancyState",
    "Hand",
    "HandReading",
    "Inspection",
    "Inspections",
    "Item",
    "ItemState",
    "Jobs",
    "LegEntry",
    "Measured",
    "Measurer",
    "Outcome",
    "Person",
    "Photos",
    "Pixel",
    "Place",
    "PlacedLength",
    "PlacedValue",
    "Records",
    "Role",
    "Signatories",
    "Story",
    "SystemClock",
    "Try",
    "TryState",
    "Waiting",
]
