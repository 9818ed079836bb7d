"""Which roles one person can have together."""

from app.errors import UsageError
from app.inspection.model import Role

_ALONE = (Role.ADMINISTRATOR, Role.TRAINEE)


def check_roles(roles: frozenset[Role]) -> None:
    """Refuse roles that do not go together.

    An administrator gives passwords and authorisations, so he must not be who uses
    them; a trainee answers for nothing by himself.

    Raises
    ------
    UsageError
        Says which role stands alone.
    """
    for role in _ALONE:
        if role in roles and len(roles) > 1:
            msg = f"Who is {role.value} has no other role: enter another person for that."
            raise UsageError(msg)
