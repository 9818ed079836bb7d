"""What can be set from outside: one table, read once from the environment, frozen.

Each setting is an environment variable ``GEARWITNESS_<NAME>``.
"""

import difflib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import urlsplit

from app.errors import UsageError

PREFIX = "GEARWITNESS_"


class Setting(NamedTuple):
    """One line of the table: how it is named, what it is without being set, what it means."""

    name: str
    default: str
    sentence: str
    read: Callable[[str], Any]
    secret: bool = False
    """Whether its value must stand in no message and no log."""


def _folder(text: str) -> Path:
    return Path(text).expanduser().absolute()


def _address(text: str) -> str:
    if not text or any(letter.isspace() for letter in text):
        msg = "an address without spaces, e.g. 127.0.0.1"
        raise ValueError(msg)
    return text


def _database(text: str) -> str:
    scheme, _, rest = text.partition("://")
    if text and not (scheme in ("postgresql", "postgresql+psycopg") and rest):
        msg = "empty, for a file in the archive's folder, or postgresql://USER@HOST:PORT/NAME"
        raise ValueError(msg)
    return text


def _photos(text: str) -> str:
    scheme, separator, rest = text.partition("://")
    if separator and not (scheme == "s3" and rest.strip("/")):
        msg = "empty, for a folder in the archive's folder, another folder, or s3://BUCKET/PREFIX"
        raise ValueError(msg)
    return text if separator or not text else str(_folder(text))


def _endpoint(text: str) -> str:
    if text and not text.startswith(("http://", "https://")):
        msg = "empty, for the provider's own, or an address that begins with https:// or http://"
        raise ValueError(msg)
    return text


def _issuer(text: str) -> str:
    parts = urlsplit(text)
    here = parts.scheme == "http" and parts.hostname in ("127.0.0.1", "localhost")
    if text and not ((parts.scheme == "https" or here) and parts.hostname and not parts.query):
        msg = "empty, for no provider, or the provider's issuer address, which begins with https://"
        raise ValueError(msg)
    return text


def _key_file(text: str) -> Path | None:
    return _folder(text) if text else None


def _names(text: str) -> tuple[str, ...]:
    found = tuple(one.strip().lower() for one in text.split(",") if one.strip())
    if not all(re.fullmatch(r"[0-9a-z.:-]{1,253}", one) for one in found):
        msg = "empty, or names and addresses with commas between, e.g. gear.example, 192.0.2.7"
        raise ValueError(msg)
    return found


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
    Setting(
        "database", "", "The database's address; empty is a file in the archive's folder.", _database, True
    ),
    Setting(
        "photos", "", "A folder or s3://BUCKET/PREFIX for photos; empty is the archive's folder.", _photos
    ),
    Setting("photos_endpoint", "", "The bucket server's address; empty is the provider's own.", _endpoint),
    Setting(
        "photos_key", "", "The bucket's access key; empty asks the usual AWS variables and files.", str, True
    ),
    Setting("photos_secret", "", "The secret that belongs to the access key.", str, True),
    Setting("signing_key", "", "The file of the archive's key; empty is in the archive's folder.", _key_file),
    Setting("lan", "no", "Whether phones in the same network may reach the server, by TLS.", _switch),
    Setting(
        "lan_names", "", "Names and addresses by which phones reach the server beside those found.", _names
    ),
    Setting("certificate", "", "The server's certificate, PEM; empty has one made.", _key_file),
    Setting("certificate_key", "", "The certificate's private key, PEM without a password.", _key_file),
    Setting(
        "device_days", "90", "How long a phone may be used before it is registered anew.", _whole(1, 730)
    ),
    Setting("oidc_issuer", "", "The issuer address of the shop's OpenID Connect provider.", _issuer),
    Setting("oidc_client_id", "", "The name by which the provider knows this server.", str),
    Setting(
        "oidc_client_secret", "", "The secret that the provider gave with it; empty without one.", str, True
    ),
    Setting("oidc_label", "", "What people call the provider; empty is its host's name.", str),
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
    database: str = field(default="", repr=False)
    photos: str = ""
    photos_endpoint: str = ""
    photos_key: str = field(default="", repr=False)
    photos_secret: str = field(default="", repr=False)
    signing_key: Path | None = None
    lan: bool = False
    lan_names: tuple[str, ...] = ()
    certificate: Path | None = None
    certificate_key: Path | None = None
    device_days: int = 90
    oidc_issuer: str = ""
    oidc_client_id: str = ""
    oidc_client_secret: str = field(default="", repr=False)
    oidc_label: str = ""


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
        shown = "not to be used" if setting.secret else repr(text)
        msg = f"the environment variable {name} is {shown}: it has to be {error}"
        raise UsageError(msg) from None
