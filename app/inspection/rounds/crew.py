"""Who is authorised for what: certificates, authorisations with their days, and who may look again."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from app.errors import NotAllowed, UsageError
from app.inspection.base import checked_text, new_id
from app.inspection.model import Person, Role
from app.inspection.ports import Reader
from app.inspection.rounds.common import RoundCases, certificate_of, newest
from app.inspection.rounds.model import ALL_CLASSES, Authorisation, Certificate
from app.programme import Item, SeenBy

AUTHORISED = (
    Role.INSPECTOR,
    Role.AUTHORISED_SIGNATORY,
    Role.REQUIRED_INSPECTION,
    Role.NDI_TECHNICIAN,
)
"""Roles that take an authorisation of their own on a visit that follows a programme."""


class Crew(RoundCases):
    """Certificates and authorisations; kept by people who do not give them to themselves."""

    def enter_certificate(self, by: Person, person_id: str, kind: str, number: str) -> Certificate:
        """Enter a person's certificate; the newest counts, earlier signatures keep theirs.

        Raises
        ------
        NotAllowed
            Only an administrator or a signatory enters one, and not his own.
        """
        _require_another_keeper(by, person_id)
        with self._records.begin() as work:
            made = Certificate(
                new_id(),
                work.get(Person, person_id).id,
                checked_text(kind, "The kind of certificate", 80),
                checked_text(number, "The certificate's number", 40),
                by.id,
                self._clock.now(),
            )
            work.enter("certificate-entered", by, None, made)
        return made

    def authorise(
        self, by: Person, person_id: str, role: Role, item_class: str, begins: date, ends: date
    ) -> Authorisation:
        """Authorise a person in one of his roles, for a class of items, from day to day.

        Raises
        ------
        NotAllowed
            Nobody authorises himself, and only an administrator or a signatory authorises.
        UsageError
            The person does not have the role, it takes no authorisation, or the days are crossed.
        """
        _require_another_keeper(by, person_id)
        with self._records.begin() as work:
            person = work.get(Person, person_id)
            if role not in person.roles or role not in AUTHORISED:
                msg = f"{person.name} has no role {role.value!r} that is authorised: choose one he has"
                raise UsageError(msg)
            if ends < begins:
                msg = f"An authorisation from {begins} to {ends} ends before it begins: correct the days"
                raise UsageError(msg)
            made = Authorisation(
                new_id(),
                person_id,
                role.value,
                checked_text(item_class, "The class of items", 48),
                begins,
                ends,
                by.id,
                self._clock.now(),
            )
            work.enter("authorised", by, None, made)
        return made

    def withdraw_authorisation(self, by: Person, authorisation_id: str) -> Authorisation:
        """Withdraw an authorisation from now on; only an administrator or a signatory does."""
        if not by.roles & {Role.ADMINISTRATOR, Role.AUTHORISED_SIGNATORY}:
            msg = "Authorisations are withdrawn by an administrator or an authorised signatory."
            raise NotAllowed(msg)
        with self._records.begin() as work:
            made = replace(work.get(Authorisation, authorisation_id), withdrawn_at=self._clock.now())
            work.enter("authorisation-withdrawn", by, None, made)
        return made

    def authorisations(self) -> tuple[Authorisation, ...]:
        """Return all authorisations, newest first."""
        with self._records.look() as r:
            return tuple(sorted(r.all(Authorisation), key=lambda one: one.at, reverse=True))

    def certificates(self) -> dict[str, Certificate]:
        """Return the certificate that counts by person."""
        with self._records.look() as r:
            people = {one.person_id for one in r.all(Certificate)}
            return {one: newest(r.all(Certificate, person_id=one)) for one in people}


def _require_another_keeper(by: Person, person_id: str) -> None:
    if by.id == person_id:
        msg = "Nobody authorises himself: another person has to enter this."
        raise NotAllowed(msg)
    if not by.roles & {Role.ADMINISTRATOR, Role.AUTHORISED_SIGNATORY}:
        msg = "Certificates and authorisations are entered by an administrator or an authorised signatory."
        raise NotAllowed(msg)


def is_authorised(r: Reader, person: Person, role: Role, item_class: str, today: date) -> bool:
    """Return whether a person may act in a role for a class of items today."""
    return role in person.roles and any(
        one.withdrawn_at is None
        and one.begins <= today <= one.ends
        and one.item_class in (ALL_CLASSES, item_class)
        for one in r.all(Authorisation, person_id=person.id, role=role.value)
    )


def require_authorised(r: Reader, person: Person, role: Role, item_class: str, today: date) -> None:
    """Refuse who is not authorised in this role for this class of items today.

    Raises
    ------
    NotAllowed
        Says which authorisation is missing or has run out.
    """
    if role not in person.roles:
        msg = f"This takes {_named(role)}: ask one who is authorised for it."
        raise NotAllowed(msg)
    if not is_authorised(r, person, role, item_class, today):
        what = "anything" if item_class == ALL_CLASSES else repr(item_class)
        msg = (
            f"{person.name} has no authorisation as {role.value.replace('_', ' ')} for {what} today: "
            "it was never given, has run out or was withdrawn."
        )
        raise NotAllowed(msg)


def _named(role: Role) -> str:
    words = role.value.replace("_", " ").replace("ndi ", "NDI ")
    return f"{'an' if words[0] in 'aiN' else 'a'} {words}"


def require_may_look(r: Reader, person: Person, wanted: Item, involved: Iterable[str], today: date) -> None:
    """Refuse who may not be the second person on an item.

    Parameters
    ----------
    involved : iterable of str
        Ids of everybody who did, supervised or corrected the work on it.

    Raises
    ------
    NotAllowed
        Own work, or no authorisation: a required inspection takes one of its own
        (14 CFR 121.371(b), (c) and 135.429(c)).
    """
    if person.id in set(involved):
        msg = f"Nobody looks a second time at his own work: another person has to see {wanted.title!r}."
        raise NotAllowed(msg)
    if wanted.seen_by is SeenBy.REQUIRED_INSPECTION:
        require_authorised(r, person, Role.REQUIRED_INSPECTION, wanted.group, today)
    elif Role.INSPECTOR in person.roles or Role.REQUIRED_INSPECTION not in person.roles:
        require_authorised(r, person, Role.INSPECTOR, wanted.group, today)
    else:
        require_authorised(r, person, Role.REQUIRED_INSPECTION, wanted.group, today)


def require_signatory(r: Reader, person: Person, today: date) -> None:
    """Refuse who may not sign a visit's record and times today.

    Raises
    ------
    NotAllowed
        The person is no authorised signatory today, or has no certificate entered.
    """
    if person.is_administrator:
        msg = "An administrator signs nothing: an authorised signatory has to."
        raise NotAllowed(msg)
    require_authorised(r, person, Role.AUTHORISED_SIGNATORY, ALL_CLASSES, today)
    if not certificate_of(r, person.id):
        msg = "The record carries kind and number of your certificate: have them entered first."
        raise NotAllowed(msg)
