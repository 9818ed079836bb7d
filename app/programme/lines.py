"""In which line of a TOML text a value stands.

The standard library's reader gives values without places.  So the text, which
that reader has already taken, is cut into its statements here (a header, or a
key with its value), and each statement's name is read by the same reader.
"""

import re
import tomllib
from collections.abc import Iterator
from typing import Any

Path = tuple[str | int, ...]
"""Keys and list positions from the top, e.g. ``("item", 3, "title")``."""

_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})'
    r"|'''.*?'''(?:'{0,2})"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|#[^\n]*"
    r"|[^\n\"'#\[\]{}=]+"
    r"|.",
    re.DOTALL,
)


class Lines:
    """The lines of every statement of one TOML text."""

    def __init__(self, text: str) -> None:
        text = text.replace("\r\n", "\n")  # as TOML does; a lone return is no line end to it
        self._rows = text.split("\n")
        self._spans: dict[Path, tuple[int, int]] = {}
        self._counts: dict[Path, int] = {}
        table: Path = ()
        for first, last, name, is_header in _statements(text):
            try:
                keys, is_list = _keys(name, is_header)
            except (tomllib.TOMLDecodeError, RecursionError, IndexError):
                continue  # no statement of a valid text; what is in it gets the line of what it is in
            if is_header:
                table = self._opened(keys, is_list)
            path = table if is_header else (*table, *keys)
            for depth in range(1, len(path) + 1):  # a.b = 1 is where a is, too
                self._spans.setdefault(path[:depth], (first, last))

    def of(self, path: Path, word: str = "") -> int:
        """Return the line, from 1, of a value, or of what it is part of.

        With a word, it is the first line of the value in which the word stands.
        """
        while path and path not in self._spans:
            path = path[:-1]
        first, last = self._spans.get(path, (1, 1))
        if word:
            for line in range(first, last + 1):
                if word in self._rows[line - 1]:
                    return line
        return first

    def _opened(self, keys: list[str], is_list: bool) -> Path:
        path: Path = ()
        for depth, key in enumerate(keys, 1):
            path = (*path, key)
            if depth == len(keys) and is_list:
                self._counts[path] = self._counts.get(path, -1) + 1
            if path in self._counts:
                path = (*path, self._counts[path])
        return path


def _statements(text: str) -> Iterator[tuple[int, int, str, bool]]:
    """Yield first line, last line, name and whether it is a header, of each statement."""
    line, first, depth = 1, 1, 0
    name, in_name, seen = "", True, False
    for token in [*_TOKEN.findall(text), "\n"]:
        if token == "\n" and depth <= 0:
            if seen:
                yield first, line, name, name.lstrip().startswith("[")
            name, in_name, seen = "", True, False
        elif not token.startswith("#") and (seen or token.strip()):
            if not seen:
                first, seen = line, True
            if token == "=" and depth <= 0:
                in_name = False
            if in_name:
                name += token
            depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(token, 0)
        line += token.count("\n")


def _keys(name: str, is_header: bool) -> tuple[list[str], bool]:
    found: Any = tomllib.loads(name if is_header else f"{name} = 0")
    keys: list[str] = []
    is_list = False
    while isinstance(found, dict) and found:
        key, found = next(iter(found.items()))
        keys.append(key)
        is_list = isinstance(found, list)
        found = found[0] if is_list else found
    return keys, is_list
