"""The use cases of the whole inspection in one class."""

from app.inspection.rounds.amending import Amending
from app.inspection.rounds.answers import Answers
from app.inspection.rounds.commissioning import Commissioning
from app.inspection.rounds.conditions import Conditions
from app.inspection.rounds.correcting import Correcting
from app.inspection.rounds.crew import Crew
from app.inspection.rounds.discrepancies import Discrepancies
from app.inspection.rounds.following import Followings
from app.inspection.rounds.handover import Handovers
from app.inspection.rounds.search_second import SearchSeconds
from app.inspection.rounds.signing_off import SigningOff
from app.inspection.rounds.stepping import Stepping
from app.inspection.rounds.tire_photo import TirePhotos
from app.inspection.rounds.tire_pressure import TirePressures
from app.inspection.rounds.tools import Tools
from app.inspection.rounds.walking import Walking


class Rounds(
    Followings,
    Commissioning,
    Conditions,
    Tools,
    Crew,
    Answers,
    TirePhotos,
    SearchSeconds,
    Discrepancies,
    Stepping,
    Handovers,
    SigningOff,
    Correcting,
    Amending,
    TirePressures,
    Walking,
):
    """Everything that people can do on a visit that follows a programme."""
