"""What is kept about people beside names and roles (see `model`)."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class Certificate:
    """A person's certificate: its kind and number; the newest counts."""

    id: str
    person_id: str
    kind: str
    number: str
    by: str
    at: datetime


ALL_CLASSES = "*"


@dataclass(frozen=True)
class Authorisation:
    """What a person may do in a role, for which class of items, from when to when.

    `item_class` is a group of the programme, or ``"*"`` for all; both days count.
    """

    id: str
    person_id: str
    role: str
    item_class: str
    begins: date
    ends: date
    by: str
    at: datetime
    withdrawn_at: datetime | None = None


@dataclass(frozen=True)
class PasswordReset:
    """A password that an administrator has reset: what it takes until the person signs again."""

    id: str
    person_id: str
    by: str
    at: datetime
    changed_at: datetime | None = None
    vouched_by: str | None = None
    vouched_at: datetime | None = None
