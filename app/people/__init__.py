"""Who is who: persons, passwords, sessions.

`Person` and `Role` come from `app.inspection`, which rules what they may do.

question                                              file
sign in and out, whose session, right password        service.py
a reset that cannot be used unseen                    resets.py
which roles go together                               roles.py
how passwords are hashed and slowed                   passwords.py
phones let in and shut out                            devices.py, devices_model.py, devices_port.py
identities of a provider, linked to persons           links.py, links_model.py, links_port.py
when two names are the same                           names.py
what is needed from outside                           ports.py
"""

from app.inspection.model import Person, Role
from app.people.ports import PeopleStore
from app.people.service import People

__all__ = ["People", "PeopleStore", "Person", "Role"]
