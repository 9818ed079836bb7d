"""Identities of the shop's provider: linked by the person himself, ended by him or an administrator.

A link opens a session and nothing more.  Signatures are given with the person's own
password here: a signature has to be the deliberate act of one person, under his sole
control and bound to what was on his screen (FAA AC 120-78B, electronic signatures), and
a provider's session, open since the morning on a shared machine, is neither.

Nobody links another.  It takes the password, and not one that an administrator has
reset and nobody has vouched for since: else who resets a password could link himself.
"""

from dataclasses import replace

from app.errors import Conflict, NotAllowed, NotFound
from app.inspection.base import new_id
from app.inspection.model import Person
from app.inspection.ports import Clock, Signatories
from app.people.links_model import Identity, IdentityLink
from app.people.links_port import LinkStore

LONGEST_ISSUER = 1000
LONGEST_SUBJECT = 255
"""Characters; OpenID Connect Core 1.0, 2, `sub`."""


class Links:
    """The links of one archive; `signatories` says whose password is right."""

    def __init__(self, store: LinkStore, clock: Clock, signatories: Signatories) -> None:
        self._store = store
        self._clock = clock
        self._signatories = signatories

    def person_of(self, identity: Identity) -> str | None:
        """Return the id of the person whose identity this is, None where nobody has linked it."""
        found = self._store.linked(identity)
        return None if found is None else found.person_id

    def link(self, person: Person, password: str, identity: Identity) -> IdentityLink:
        """Link an identity that the provider has just vouched for to the person who says that he is it.

        Raises
        ------
        TooManyTries
            Too many wrong passwords before.
        NotAllowed
            The password is wrong, or was reset and not yet both changed and vouched for.
        Conflict
            The identity is linked already, or cannot be kept.
        """
        if not self._signatories.check_password(person, password):
            msg = "That is not your password, so nothing was linked: type it again."
            raise NotAllowed(msg)
        if not 0 < len(identity.subject) <= LONGEST_SUBJECT or not 0 < len(identity.issuer) <= LONGEST_ISSUER:
            msg = "The provider names you in a way that cannot be kept: sign in with name and password."
            raise Conflict(msg)
        made = IdentityLink(new_id(), identity.issuer, identity.subject, person.id, self._clock.now())
        self._store.add_link(person, made)
        return made

    def list_for(self, person: Person) -> tuple[IdentityLink, ...]:
        """Return the links that a person may see, the newest first: his own, to an administrator all."""
        mine = (one for one in self._store.links() if person.is_administrator or one.person_id == person.id)
        return tuple(sorted(mine, key=lambda one: one.linked_at, reverse=True))

    def end(self, by: Person, link_id: str) -> IdentityLink:
        """End a link: the identity opens nothing any more, and the person's sessions are over.

        Raises
        ------
        NotFound
            There is none.
        NotAllowed
            It is neither an administrator's act nor the person's own.
        Conflict
            It was ended before.
        """
        found = next((one for one in self._store.links() if one.id == link_id), None)
        if found is None:
            msg = "There is no such link: open the list again."
            raise NotFound(msg)
        if not by.is_administrator and by.id != found.person_id:
            msg = "A link is ended by the person whose it is, or by an administrator."
            raise NotAllowed(msg)
        if found.ended_at is not None:
            msg = "This link was ended before."
            raise Conflict(msg)
        ended = replace(found, ended_at=self._clock.now(), ended_by=by.id)
        self._store.end_link(by, ended)
        return ended
