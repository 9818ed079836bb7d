"""Which programme an aircraft's visits follow, and the questions about its legs."""

from collections.abc import Mapping

from app.errors import UsageError
from app.inspection.base import new_id
from app.inspection.model import Aircraft, Inspection, Item, ItemState, LegEntry, Person
from app.inspection.ports import Reader, Work
from app.inspection.rounds.common import (
    TWIN_WHEELS,
    WHEEL,
    RoundCases,
    newest,
    programme_in,
    require_keeper,
    require_programme,
    round_of,
)
from app.inspection.rounds.model import Following, LegFeatures, ProgrammeEntry, Round
from app.programme import TWIN, WHEELS, Programme, read_programme
from app.programme import Item as ProgrammeItem


class Followings(RoundCases):
    """Programmes, what follows them, and what is fitted on each leg."""

    def enter_programme(self, person: Person | None, toml: str, source: str) -> ProgrammeEntry:
        """Keep a programme's file; one whose content is there already is that one.

        Raises
        ------
        ProgrammeError
            The file has faults; all of them are named with their lines.
        """
        require_keeper(person)
        read = read_programme(toml, source)
        with self._records.begin() as work:
            for there in work.all(ProgrammeEntry, version=read.version):
                return there
            made = ProgrammeEntry(
                new_id(),
                read.version,
                read.name,
                read.revision,
                toml,
                None if person is None else person.id,
                self._clock.now(),
            )
            work.enter("programme-entered", person, None, made)
        return made

    def programme_followed(self, aircraft_id: str) -> ProgrammeEntry | None:
        """Return the programme that an aircraft's next visit follows, or None."""
        with self._records.look() as r:
            return programme_entry(r, aircraft_id)

    def programmes(self) -> tuple[ProgrammeEntry, ...]:
        """Return all programmes, newest first."""
        with self._records.look() as r:
            return tuple(sorted(r.all(ProgrammeEntry), key=lambda one: one.entered_at, reverse=True))

    def follow(self, person: Person | None, aircraft_id: str, programme_id: str) -> Following:
        """Have an aircraft's next visits follow a programme; a visit that is open keeps its own."""
        require_keeper(person)
        with self._records.begin() as work:
            work.get(Aircraft, aircraft_id)
            work.get(ProgrammeEntry, programme_id)
            by = None if person is None else person.id
            made = Following(new_id(), aircraft_id, programme_id, by, self._clock.now())
            work.enter("programme-followed", person, None, made)
        return made

    def answer_features(self, person: Person | None, leg_id: str, answers: Mapping[str, str]) -> LegFeatures:
        """Answer the programme's questions about a leg, for its next visits.

        Raises
        ------
        UsageError
            The aircraft follows no programme, or it has no such question or answer.
        """
        require_keeper(person)
        with self._records.begin() as work:
            leg = work.get(LegEntry, leg_id)
            entry = programme_entry(work, leg.aircraft_id)
            if entry is None:
                msg = "The aircraft follows no programme: choose one first, it asks the questions."
                raise UsageError(msg)
            known = {one.key: one.answers for one in programme_in(entry.toml).features}
            for feature, answer in answers.items():
                if answer not in known.get(feature, ()):
                    asked = ", ".join(known.get(feature, known))
                    msg = f"{feature} = {answer!r} is not known: choose one of {asked}"
                    raise UsageError(msg)
            by = None if person is None else person.id
            made = LegFeatures(new_id(), leg_id, dict(answers), by, self._clock.now())
            work.enter("features-answered", person, None, made)
        return made

    def features_of(self, leg_id: str) -> dict[str, str]:
        """Return the newest answers about a leg."""
        with self._records.look() as r:
            return leg_features(r, leg_id)

    def programme_of(self, inspection_id: str) -> Programme | None:
        """Return the programme that a visit follows, or None."""
        with self._records.look() as r:
            return None if round_of(r, inspection_id) is None else require_programme(r, inspection_id)


def programme_entry(r: Reader, aircraft_id: str) -> ProgrammeEntry | None:
    """Return the programme that an aircraft's next visit follows, or None."""
    found = newest(r.all(Following, aircraft_id=aircraft_id))
    return None if found is None else r.get(ProgrammeEntry, found.programme_id)


def leg_features(r: Reader, leg_id: str) -> dict[str, str]:
    """Return the newest answers about a leg, empty where there are none."""
    found = newest(r.all(LegFeatures, leg_id=leg_id))
    return {} if found is None else dict(found.answers)


def begin_round(
    work: Work, person: Person, inspection: Inspection, legs: tuple[LegEntry, ...]
) -> Round | None:
    """Freeze what a new visit follows; None where its aircraft follows no programme."""
    entry = programme_entry(work, inspection.aircraft_id)
    if entry is None:
        return None
    made = Round(inspection.id, entry.id, {leg.id: leg_features(work, leg.id) for leg in legs})
    work.enter("round-begun", person, inspection.id, made, data={"version": entry.version})
    return made


def items_of_leg(work: Work, followed: Round, leg: LegEntry) -> list[Item]:
    """Return a leg's items by the programme of the visit, each to do."""
    programme = programme_in(work.get(ProgrammeEntry, followed.programme_id).toml)
    answers = followed.features.get(leg.id, {})
    return [
        Item(new_id(), followed.id, leg.id, key, ItemState.TO_DO)
        for one in programme.items_for(answers)
        for key in keys_of(one, answers)
    ]


def keys_of(wanted: ProgrammeItem, answers: Mapping[str, str]) -> tuple[str, ...]:
    """Return the keys of an item on a leg with these answers: one, or one for each of its twin wheels."""
    if wanted.each and answers.get(WHEELS) == TWIN:
        return tuple(f"{wanted.key}{WHEEL}{one}" for one in TWIN_WHEELS)
    return (wanted.key,)
