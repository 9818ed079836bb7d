"""What can be set from outside: one table, read once from the environment, frozen.

Each setting is an environment variable ``GEARWITNESS_<NAME>``.
"""

import difflib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from app.errors import UsageError

PREFIX = "GEARWITNESS_"


class Setting(NamedTuple):
    """One line of the table: how it is named, what it is without being set, what it means."""

    name: str
    default: str
    sentence: str
    read: Callable[[str], Any]


def _folder(text: str) -> Path:
    return Path(text).expanduser().absolute()


def _address(text: str) -> str:
    if not text or any(letter.isspace() for letter in text):
        msg = "an address without spaces, e.g. 127.0.0.1"
        raise ValueError(msg)
    return text


def _whole(least: int, most: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        if not (text.isascii() and text.isdecimal() and least <= int(text) <= most):
            msg = f"a whole number from {least} to {most}"
            raise ValueError(msg)
        return int(text)

    return read


def _switch(text: str) -> bool:
    answer = {"1": True, "yes": True, "true": True, "0": False, "no": False, "false": False}.get(text.lower())
    if answer is None:
        msg = "yes or no"
        raise ValueError(msg)
    return answer


TABLE = (
    Setting("home", "~/gearwitness", "The folder of the archive: database and photos.", _folder),
    Setting("address", "127.0.0.1", "The network address that the server listens on.", _address),
    Setting("port", "8501", "The port that the server listens on.", _whole(1, 65535)),
    Setting("demo", "no", "Whether this is the demo, with identities that everybody may use.", _switch),
    Setting("session_hours", "12", "How long a sign-in lasts, in hours.", _whole(1, 24 * 7)),
    Setting("largest_upload_mb", "60", "The largest photo file that is taken, in MB.", _whole(1, 500)),
)

_NAMES = [setting.name.upper() for setting in TABLE]


@dataclass(frozen=True)
class Settings:
    """The settings, as `TABLE` describes them."""

    home: Path
    address: str = "127.0.0.1"
    port: int = 8501
    demo: bool = False
    session_hours: int = 12
    largest_upload_mb: int = 60


def read(environ: Mapping[str, str]) -> Settings:
    """Return the settings of an environment, with the defaults of `TABLE` for what is not set or empty.

    Raises
    ------
    UsageError
        A value cannot be read, or a variable of this prefix names no setting.
    """
    known = {PREFIX + name: setting for name, setting in zip(_NAMES, TABLE, strict=True)}
    for name in environ:
        if name.startswith(PREFIX) and name not in known:
            near = difflib.get_close_matches(name.removeprefix(PREFIX), _NAMES, n=1)
            instead = f"did you mean {PREFIX}{near[0]}?" if near else f"there are {', '.join(known)}"
            msg = f"the environment variable {name} is no setting: {instead}"
            raise UsageError(msg)
    return Settings(**{setting.name: _value(name, setting, environ) for name, setting in known.items()})


def _value(name: str, setting: Setting, environ: Mapping[str, str]) -> Any:
    text = environ.get(name) or setting.default
    try:
        return setting.read(text)
    except ValueError as error:
        msg = f"the environment variable {name} is {text!r}: it has to be {error}"
        raise UsageError(msg) from None
