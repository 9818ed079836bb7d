"""The demo's second aircraft: its visits follow the supplied programme, with everybody who works on one."""

from datetime import UTC, date, datetime, timedelta

from app.inspection import Basis, Inspections, Person, Role
from app.inspection.rounds.crew import AUTHORISED
from app.inspection.rounds.model import ALL_CLASSES
from app.programme import supplied_text
from app.programme.read import SUPPLIED

REGISTRATION = "ZZ-GWW"
PEOPLE = (
    ("Mechanic 2", frozenset({Role.MECHANIC})),
    ("Required inspector", frozenset({Role.REQUIRED_INSPECTION, Role.INSPECTOR})),
    ("NDI technician", frozenset({Role.NDI_TECHNICIAN})),
    ("Signatory", frozenset({Role.AUTHORISED_SIGNATORY})),
    ("Trainee", frozenset({Role.TRAINEE})),
    ("Administrator", frozenset({Role.ADMINISTRATOR})),
)
_ALL_LEGS = {
    "strut_inflation": "extension",
    "wheels": "one",
    "wheel": "divided",
    "tire_line": "drawn",
    "fluid_lines": "fitted",
    "control_cables": "none",
    "turnbuckles": "none",
    "doors": "fitted",
    "alternate_extension": "fitted",
}
_NOSE = {"shimmy_damper": "reservoir", "steering": "steered", "brake": "none"}
_MAIN = {"shimmy_damper": "none", "steering": "fixed", "brake": "hydraulic"}
# What each reads, in which unit, with which ± (95 %): invented like everything else here.
_INSTRUMENTS = (
    ("tire gauge", "D-1", "pressure", "psi", 0.5),
    ("tread depth gauge", "D-2", "length", "mm", 0.1),
    ("dial gauge", "D-3", "length", "mm", 0.02),
    ("feeler gauge", "D-4", "length", "mm", 0.02),
)
_LASTS = timedelta(days=365)


def furnish(
    inspections: Inspections,
    people: dict[str, Person],
    kind: str,
    operator: str,
    legs: list[tuple[str, str, Basis]],
) -> None:
    """Enter the aircraft that follows the programme, where it is not there yet.

    Parameters
    ----------
    people : dict
        Everybody in the demo by name, an "Administrator" among them.
    legs : list of (position, LEG.toml, basis)
        As those of the first aircraft, under this one's registration.
    """
    if any(one.registration == REGISTRATION for one in inspections.aircraft()):
        return
    administrator, today = people["Administrator"], datetime.now(UTC).date()
    for number, person in enumerate(people.values(), 1):
        _authorise(inspections, administrator, person, number, today)
    for what, number_, quantity, unit, doubt in _INSTRUMENTS:
        inspections.enter_instrument(
            administrator, what, number_, quantity, unit, doubt, today + timedelta(days=200)
        )
    # Overdue on purpose: what it reads is refused.
    inspections.enter_instrument(
        administrator, "tire gauge", "D-9", "pressure", "psi", 0.5, today - timedelta(days=3)
    )
    aircraft = inspections.enter_aircraft(REGISTRATION, kind, operator)
    programme = inspections.enter_programme(administrator, supplied_text(), SUPPLIED)
    inspections.follow(administrator, aircraft.id, programme.id)
    for position, toml, basis in legs:
        leg = inspections.enter_leg(aircraft.id, position, toml, basis)
        fitted = _NOSE if position == "nose" else _MAIN
        inspections.answer_features(administrator, leg.id, _ALL_LEGS | fitted)


def _authorise(
    inspections: Inspections, administrator: Person, person: Person, number: int, today: date
) -> None:
    if person.is_administrator:
        return
    inspections.enter_certificate(administrator, person.id, "demo certificate", f"D-{number:03d}")
    for role in AUTHORISED:
        if role in person.roles:
            inspections.authorise(administrator, person.id, role, ALL_CLASSES, today, today + _LASTS)
