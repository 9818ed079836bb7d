"""What is wrong with a programme's file: all of it, each with its line, its cause and its remedy."""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from app.programme.lines import Lines, Path

_LONGEST_SHOWN = 60


@dataclass(frozen=True, order=True)
class Fault:
    """One thing that is wrong: in which line, in what, why it is wrong, what to write."""

    line: int
    where: str
    cause: str
    remedy: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.where}: {self.cause}: {self.remedy}"


class Faults:
    """Collects faults while a file is read, so that a person mends them all in one go."""

    def __init__(self, lines: Lines) -> None:
        self._lines = lines
        self._found: list[Fault] = []

    def add(self, path: Path, where: str, cause: str, remedy: str, word: str = "") -> None:
        """Enter a fault at the value with this path; `word` narrows it to one line of a long value."""
        self._found.append(Fault(self._lines.of(path, word), where, cause, remedy))

    def line(self, path: Path) -> int:
        """Return the line of a value, to be named in another one's fault."""
        return self._lines.of(path)

    def found(self) -> tuple[Fault, ...]:
        """Return what was entered, by line, each once."""
        return tuple(sorted(set(self._found)))


def nearest(word: str, known: Iterable[str], least: float = 0.0) -> str:
    """Return the known word that is most like this one, or nothing where none is like it at all."""
    # Nobody's misspelling is longer, and comparing takes the square of the length.
    return next(iter(difflib.get_close_matches(word[:80], list(known), 1, least)), "")


def shown(value: Any) -> str:
    """Return a value as it can stand in a message: in quotes where it is a text, and short."""
    text = repr(value)
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"


def named(word: str) -> str:
    """Return a name as it can stand in a message: bare where it is a plain one."""
    return word if word.isprintable() and 0 < len(word) <= _LONGEST_SHOWN else shown(word)
