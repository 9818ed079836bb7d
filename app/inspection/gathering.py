"""Photos taken where no network reached, added later from the phone's gallery.

They come before anybody has said of which leg they are: each is kept at once, under the
aircraft, and waits for its person.  A leg's tag in the picture names the leg; without
one the person does.  Whether it was taken under the condition that is stated is asked
where the time in the file does not show it, and answered with a reason.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.base import checked_text, clean_text, new_id, require_mechanic
from app.inspection.canonical import sha256
from app.inspection.gathered import Gathered
from app.inspection.model import Aircraft, Inspection, Item, LegEntry, Person, Try
from app.inspection.ports import Reader
from app.inspection.rounds.common import round_of
from app.inspection.rounds.photo_age import Age, Window, age_of, checked_age, question_of
from app.inspection.tries import Tries
from vision.errors import LegError
from vision.leg import read_leg

LONGEST_BEFORE = timedelta(hours=12)
"""Without an open visit a photo may be so old before it is questioned."""

_SHOWN = "%d %b %Y, %H:%M"


class Seen(NamedTuple):
    """What a gathered photo itself tells.

    Attributes
    ----------
    taken_at : datetime or None
        By the phone's clock; naive where the file names no zone.
    leg_ids : tuple of str
        The legs of the aircraft whose tag is in the picture.
    """

    taken_at: datetime | None
    leg_ids: tuple[str, ...]


class Gathering(Tries):
    """From the gallery to a leg."""

    def photo_gathered(self, person: Person, aircraft_id: str, data: bytes, name: str = "") -> Gathered:
        """Keep a photo that waits for its leg: file first, then the entry; both are durable on return.

        The same bytes again from the same person are the same photo, also once it was
        given to a leg or set aside.

        Raises
        ------
        NotAllowed
            The person is no mechanic.
        NotFound
            There is no such aircraft.
        UsageError
            There are no bytes.
        """
        require_mechanic(person)
        if not data:
            msg = "The photo arrived empty: send it again."
            raise UsageError(msg)
        with self._records.look() as r:
            r.get(Aircraft, aircraft_id)
            before = _before(r, person, aircraft_id, sha256(data))
        if before is not None:
            return before
        sha = self._photos.put(data)
        with self._records.begin() as work:
            # Between the look and now the same phone may have sent it a second time.
            before = _before(work, person, aircraft_id, sha)
            if before is not None:
                return before
            clean = clean_text(name)[:200]
            kept = Gathered(new_id(), person.id, aircraft_id, sha, clean, self._clock.now())
            work.enter("photo-gathered", person, None, kept, data={"bytes": len(data)})
        return kept

    def gathered(self, person: Person) -> tuple[Gathered, ...]:
        """Return the person's photos that wait for a leg, in the order in which they came."""
        return tuple(one for one in self.all_gathered(person) if one.try_id is None and one.set_aside is None)

    def all_gathered(self, person: Person) -> tuple[Gathered, ...]:
        """Return all the person's photos from the gallery, in the order in which they came."""
        with self._records.look() as r:
            mine = r.all(Gathered, person_id=person.id)
        return tuple(sorted(mine, key=lambda one: (one.at, one.id)))

    def has_gathered(self, person: Person, sha: str) -> bool:
        """Return whether this is a photo that this person has gathered."""
        with self._records.look() as r:
            return bool(r.all(Gathered, person_id=person.id, photo=sha))

    def look_at_gathered(self, person: Person, gathered_id: str) -> Seen:
        """Return what the picture itself tells: when it was taken, and of which leg it is.

        Raises
        ------
        NotAllowed
            It is another person's.
        PhotoError
            Its bytes are no photo.
        """
        with self._records.look() as r:
            found = _own(r, person, gathered_id)
            legs = r.all(LegEntry, aircraft_id=found.aircraft_id)
        photo = self._photos.get(found.photo)
        seen = self._measurer.leg_tags(photo)
        return Seen(self._measurer.taken_at(photo), tuple(leg.id for leg in legs if _tag_of(leg) in seen))

    def doubt_of_time(self, gathered: Gathered, taken_at: datetime | None) -> str:
        """Return why the time of a photo is questioned, as a sentence; empty where it is not."""
        with self._records.look() as r:
            open_ones = r.all(Inspection, aircraft_id=gathered.aircraft_id, closed_at=None)
        return time_doubt(taken_at, open_ones[0].opened_at if open_ones else None, self._clock.now())

    def give_to_leg(
        self,
        person: Person,
        gathered_id: str,
        leg_id: str,
        statements: Sequence[str],
        options: Mapping[str, Any] | None = None,
        card: str = "",
        why: str = "",
    ) -> Try:
        """Make a gathered photo the photo of a new try at a leg; done again it returns the same try.

        Parameters
        ----------
        statements, options, card
            As for `begin_try`.
        why : str
            The person's answer where the photo's time is questioned.

        Raises
        ------
        NotAllowed
            It is another person's.
        Conflict
            It is set aside, shows the tag of another leg, or the leg takes no photo now; on a visit by a
            programme also where it is older than the visit.
        UsageError
            Its time is questioned, and no reason is given.
        """
        with self._records.look() as r:
            found = _own(r, person, gathered_id)
            leg = r.get(LegEntry, leg_id)
        if found.try_id is not None:
            return self.try_of(person, found.try_id)
        if found.set_aside is not None:
            msg = "This photo was set aside: add it again, or take another one."
            raise Conflict(msg)
        if leg.aircraft_id != found.aircraft_id:
            msg = "This photo was added for another aircraft: choose one of that aircraft's legs."
            raise Conflict(msg)
        told = self._checked(person, found, leg, why)
        this = self._half_given(person, found, leg_id)
        if this is None:
            begun = self.begin_try(person, leg_id, (*statements, told), options, card)
            this = self.photo_arrived(person, begun.id, self._photos.get(found.photo), found.photo_name)
        if question_of(this) and why:
            this = self.explain_time(person, this.id, why)
        with self._records.begin() as work:
            now = work.get(Gathered, found.id)
            if now.try_id is None:
                work.enter("gathered-given", person, None, replace(now, try_id=this.id))
        return this

    def photo_of_other(self, person: Person, try_id: str, other_id: str) -> Try:
        """Give a try the photo of another one of the person's, byte for byte; raises as `photo_arrived`."""
        other = self.try_of(person, other_id)
        return self.photo_arrived(person, try_id, self._photos.get(other.photo or ""), other.photo_name)

    def set_gathered_aside(self, person: Person, gathered_id: str, reason: str) -> Gathered:
        """Say that a photo is given to no leg, and why; the photo itself stays.

        Raises
        ------
        NotAllowed
            It is another person's.
        Conflict
            It was given to a leg.
        UsageError
            No reason is given.
        """
        clean = checked_text(reason, "The reason", 300)
        with self._records.begin() as work:
            found = _own(work, person, gathered_id)
            if found.try_id is not None:
                msg = "This photo was given to a leg and stays there."
                raise Conflict(msg)
            aside = replace(found, set_aside=clean)
            work.enter("gathered-set-aside", person, None, aside)
        return aside

    def _checked(self, person: Person, found: Gathered, leg: LegEntry, why: str) -> str:
        """Return the statement about where the photo comes from, once tag and time allow it."""
        seen = self.look_at_gathered(person, found.id)
        if seen.leg_ids and leg.id not in seen.leg_ids:
            msg = f"The tag in this photo is another leg's, not that of the {leg.position}: choose that leg."
            raise Conflict(msg)
        with self._records.look() as r:
            for visit in r.all(Inspection, aircraft_id=found.aircraft_id, closed_at=None):
                if round_of(r, visit.id) is not None:  # refused before a try is begun that would stay empty
                    checked_age(r, visit, self._clock.now(), seen.taken_at, self._clock.now())
        doubt = self.doubt_of_time(found, seen.taken_at)
        reason = clean_text(why)
        if doubt and not reason:
            msg = f"{doubt} Say why it shows this leg under the condition stated, or photograph it again."
            raise UsageError(msg)
        when = "at an untold time" if seen.taken_at is None else f"{seen.taken_at:{_SHOWN}} by the phone"
        return f"From the phone's gallery, taken {when}.{f' {doubt} {reason}' if doubt else ''}"[:300]

    def _half_given(self, person: Person, found: Gathered, leg_id: str) -> Try | None:
        """Return the try that has this photo already, where the last step of giving it was cut off."""
        with self._records.look() as r:
            for one in r.all(Try, photo=found.photo, performer_id=person.id):
                if r.get(Item, one.item_id).leg_id == leg_id:
                    return one
        return None


def time_doubt(taken_at: datetime | None, opened_at: datetime | None, now: datetime) -> str:
    """Return why the time a photo was taken at is questioned; empty where it is not.

    Parameters
    ----------
    taken_at : datetime or None
        By the photo; naive where it names no zone.
    opened_at : datetime or None
        When the visit was opened, None where none is open.
    now : datetime
        Aware.
    """
    since = opened_at or now - LONGEST_BEFORE
    age, words = age_of(taken_at, Window(since, since, None), now)
    if age is Age.REFUSED and opened_at is None:
        return f"The photo was taken more than {LONGEST_BEFORE.seconds // 3600} hours ago by its own clock."
    return "" if age is Age.FITS else words


def _own(r: Reader, person: Person, gathered_id: str) -> Gathered:
    found = r.get(Gathered, gathered_id)
    if found.person_id != person.id:
        msg = "This photo was added by another person: that person gives it to its leg."
        raise NotAllowed(msg)
    return found


def _before(r: Reader, person: Person, aircraft_id: str, sha: str) -> Gathered | None:
    found = r.all(Gathered, person_id=person.id, aircraft_id=aircraft_id, photo=sha)
    return found[0] if found else None


def _tag_of(leg: LegEntry) -> int | None:
    try:
        return read_leg(leg.toml, "the leg's data").leg_tag
    except LegError:
        return None
