"""One table of a programme's file against its keys: known names, values of the right kind.

What is wrong is entered among the faults and left out of the result, so that the
reading goes on and one mistake gives one message.
"""

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any, NamedTuple

from app.programme.faults import Faults, named, nearest, shown
from app.programme.keys import LEG_NEEDS, TABLES, TOP_KEYS, Key, Kind
from app.programme.lines import Path

_KEY = re.compile(r"[a-z][a-z0-9_]{0,47}")
_NEVER_SAID = re.compile(r"\bairworthy\b", re.IGNORECASE)
_LONGEST = 2000
_ALSO_SHOWN = "\n\t\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}"
_LIKE = 0.6
"""From this likeness on, an unknown key is taken for a misspelt one and its value read as that one's."""

_ELSEWHERE = {key.name for keys in (TOP_KEYS, *TABLES.values()) for key in keys}


class Place(NamedTuple):
    """Where a value stands, and where its faults go."""

    path: Path
    where: str
    faults: Faults

    def fault(self, cause: str, remedy: str, word: str = "") -> None:
        """Enter a fault at this place."""
        self.faults.add(self.path, self.where, cause, remedy, word)

    def at(self, *steps: str | int) -> "Place":
        """Return the place of a part."""
        return Place((*self.path, *steps), self.where, self.faults)


def read_table(raw: Mapping[str, Any], keys: Sequence[Key], place: Place) -> dict[str, Any]:
    """Return the good values of a table by key; tables in it as they are."""
    values: dict[str, Any] = {}
    written = _by_name(raw, keys, place)
    for key in keys:
        if key.name in written:
            name = written[key.name]
            value = raw[name] if key.kind is Kind.TABLES else _READ[key.kind](key, raw[name], place.at(name))
            if value is not None:
                values[key.name] = value
        elif key.required:
            place.fault(f"{key.name} is missing", f"write {_example(key)}")
    return values


def _by_name(raw: Mapping[str, Any], keys: Sequence[Key], place: Place) -> dict[str, str]:
    """Return as what each known key is written here, a misspelt one as it is spelt."""
    names = [key.name for key in keys]
    written = {name: name for name in raw if name in names}
    for name in raw:
        if name not in names:
            # A key of another table is a right word in the wrong place, not a misspelt one.
            absent = [] if name in _ELSEWHERE else [one for one in names if one not in written]
            meant = nearest(name, absent, _LIKE)
            if meant:
                written[meant] = name
            place.at(name).fault(f"{named(name)} is not a known key", _suggestion(name, names, meant, raw))
    return written


def _suggestion(name: str, known: Sequence[str], meant: str, present: Collection[str]) -> str:
    if meant:
        return f"the nearest known key is {meant}"
    if name in {key.name for key in TOP_KEYS}:
        return "it belongs above the first [[table]]"
    owners = [f"[[{table}]]" for table, keys in TABLES.items() if name in {key.name for key in keys}]
    if owners:
        return f"it belongs in {' or '.join(owners)}"
    near = nearest(name, known)
    instead = "which is there already: take one out" if near in present else "else take it out"
    return f"the nearest known key is {near}, {instead}"


def _example(key: Key) -> str:
    if key.choices:
        return f"{key.name} = one of {', '.join(key.choices)}"
    return {
        Kind.KEY: f'{key.name} = "a_short_name"',
        Kind.TEXTS: f'{key.name} = ["…"]',
        Kind.KEYS: f'{key.name} = ["…"]',
        Kind.TABLES: f"a table of this name, [[….{key.name}]]",
    }.get(key.kind, f'{key.name} = "…"')


def _text(key: Key, value: Any, place: Place) -> str | None:
    if not isinstance(value, str):
        place.fault(f"{key.name} = {shown(value)} is not a text", f'write it in quotes, {key.name} = "…"')
        return None
    text = value.strip()
    stranger = next((sign for sign in text if not sign.isprintable() and sign not in _ALSO_SHOWN), "")
    if not text:
        place.fault(f"{key.name} is empty", "write it, or take the key out where it is not required")
    elif len(text) > _LONGEST:
        place.fault(f"{key.name} has {len(text)} letters", f"a phone shows {_LONGEST} at most: shorten it")
    elif stranger:
        place.fault(
            f"{key.name} holds a sign that cannot be shown (U+{ord(stranger):04X})", "take the sign out"
        )
    elif _NEVER_SAID.search(text):
        place.fault(
            f'{key.name} says "airworthy"',
            "this record never does, the authorised signer does elsewhere: say what was inspected",
        )
    else:
        return text
    return None


def _key(key: Key, value: Any, place: Place) -> str | None:
    text = _text(key, value, place)
    if text is None or _KEY.fullmatch(text):
        return text
    place.fault(
        f"{key.name} = {shown(text)} is no key",
        'write small letters a to z, digits and _, a letter first, 48 at most, e.g. "brake_wear"',
    )
    return None


def _choice(key: Key, value: Any, place: Place) -> str | None:
    if isinstance(value, str) and value in key.choices:
        return value
    near = nearest(value, key.choices, _LIKE) if isinstance(value, str) else ""
    listed = f"one of {', '.join(key.choices)}"
    place.fault(
        f"{key.name} = {shown(value)} is not known",
        f"the nearest known one is {near} ({listed})" if near else f"write {listed}",
        value if isinstance(value, str) else "",
    )
    return None


def _list(
    read: Callable[[Key, Any, Place], Any], key: Key, value: Any, place: Place
) -> tuple[Any, ...] | None:
    if not isinstance(value, list) or not value:
        place.fault(
            f"{key.name} = {shown(value)} is not a list of texts", f'write {key.name} = ["…"], or several'
        )
        return None
    twice = next((one for i, one in enumerate(value) if one in value[:i]), None)
    if twice is not None:
        place.fault(f"{key.name} names {shown(twice)} twice", "take one out")
    return tuple(one for one in (read(key, part, place) for part in value) if one is not None)


def _texts(key: Key, value: Any, place: Place) -> tuple[str, ...] | None:
    return _list(_text, key, value, place)


def _keys(key: Key, value: Any, place: Place) -> tuple[str, ...] | None:
    return _list(_key, key, value, place)


def _choices(key: Key, value: Any, place: Place) -> tuple[str, ...] | None:
    return _list(_choice, key, value, place)


def _needs(key: Key, value: Any, place: Place) -> tuple[tuple[str, ...], ...] | None:
    return _list(_need, key, value, place)


def _need(key: Key, value: Any, place: Place) -> tuple[str, ...] | None:
    text = _text(key, value, place)
    if text is None:
        return None
    names = tuple(part.strip() for part in text.split(" or "))
    strange = [name for name in names if name not in LEG_NEEDS]
    for name in strange:
        near = nearest(name, LEG_NEEDS)
        place.fault(
            f"{key.name} names {shown(name)}, which is no key of LEG.toml",
            f"the nearest known one is {near}" if near else "write table.key, e.g. strut.lower_mm",
            text,
        )
    return None if strange else names


def _where(key: Key, value: Any, place: Place) -> dict[str, tuple[str, ...]] | None:
    if not isinstance(value, dict) or not value:
        place.fault(
            f"{key.name} = {shown(value)} names no feature and answers",
            f'write {key.name} = {{shimmy_damper = ["reservoir"]}}',
        )
        return None
    read = {name: _keys(Key(name, Kind.KEYS), answers, place) for name, answers in value.items()}
    return {name: answers for name, answers in read.items() if answers}


_READ: dict[Kind, Callable[[Key, Any, Place], Any]] = {
    Kind.KEY: _key,
    Kind.TEXT: _text,
    Kind.CHOICE: _choice,
    Kind.TEXTS: _texts,
    Kind.KEYS: _keys,
    Kind.CHOICES: _choices,
    Kind.NEEDS: _needs,
    Kind.WHERE: _where,
}
