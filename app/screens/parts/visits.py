"""What a visit holds so far, for the pages that begin on it."""

from app.errors import NotFound
from app.inspection import STRUT_EXTENSION, Aircraft, Inspections, Item, LegEntry, Person, Story, Try


def open_items(inspections: Inspections, aircraft_id: str) -> dict[str, Item]:
    """Return the strut's items of the aircraft's open inspection by leg; empty where none is open."""
    for one in inspections.inspections():
        if one.aircraft_id == aircraft_id and one.closed_at is None:
            found = inspections.items(one.id)
            return {item.leg_id: item for item in found if item.key == STRUT_EXTENSION}
    return {}


def leg_of(inspections: Inspections, leg_id: str) -> tuple[Aircraft, LegEntry]:
    """Return a leg and its aircraft.

    Raises
    ------
    NotFound
        No aircraft has this leg.
    """
    for aircraft in inspections.aircraft():
        for leg in inspections.legs(aircraft.id):
            if leg.id == leg_id:
                return aircraft, leg
    msg = "no aircraft in this archive has the leg of this address: choose one from the list of legs"
    raise NotFound(msg)


def tries_of(story: Story, person: Person) -> tuple[Try, ...]:
    """Return the person's own tries on an item in time order."""
    tries = (entry for _, entry in story.entries if isinstance(entry, Try))
    return tuple(one for one in tries if one.performer_id == person.id)
