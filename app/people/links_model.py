"""Who somebody is at the shop's identity provider, and whose name that stands for here."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Identity:
    """What a provider vouches for: its address and the name that it gives a person for good.

    Only both together name somebody (OpenID Connect Core 1.0, 5.7); an e-mail address does not.
    """

    issuer: str
    subject: str


@dataclass(frozen=True)
class IdentityLink:
    """An identity that a person here said is his own; `ended_by` said that it is no longer."""

    id: str
    issuer: str
    subject: str
    person_id: str
    linked_at: datetime
    ended_at: datetime | None = None
    ended_by: str | None = None
