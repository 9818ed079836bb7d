"""What the use cases about identities need from outside; `app.archive` implements it."""

from abc import ABC, abstractmethod

from app.inspection.model import Person
from app.people.links_model import Identity, IdentityLink


class LinkStore(ABC):
    """Where it is kept whose an identity is."""

    @abstractmethod
    def add_link(self, by: Person, link: IdentityLink) -> None:
        """Enter a link, with an event in the archive's chain.

        Raises
        ------
        Conflict
            The identity is linked already.
        """

    @abstractmethod
    def end_link(self, by: Person, link: IdentityLink) -> None:
        """Enter that a link was ended, with an event; the person's sessions go."""

    @abstractmethod
    def links(self) -> tuple[IdentityLink, ...]:
        """Return all links, ended ones too, in no promised order."""

    @abstractmethod
    def linked(self, identity: Identity) -> IdentityLink | None:
        """Return the link of an identity that counts, or None."""
