"""The use cases of an inspection in one class, composed of one file per question."""

from app.inspection.by_hand import ByHand
from app.inspection.confirming import Confirming
from app.inspection.gathering import Gathering
from app.inspection.looking import Looking
from app.inspection.measuring import Measuring
from app.inspection.rounds.service import Rounds


class Inspections(Gathering, Measuring, Confirming, ByHand, Looking, Rounds):
    """Everything that people and the measuring can do.

    What the rules refuse is an `app.errors.InspectionError`; what cannot be a value
    at all is a `UsageError` or a `LegError`.  Each call is one transaction.
    """
