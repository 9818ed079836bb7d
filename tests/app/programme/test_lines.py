"""In which line a value stands, whatever the layout."""

import tomllib
from typing import Any

import pytest

from app.programme import supplied_text
from app.programme.lines import Lines, Path

AWKWARD = '''\
# [[item]] in a comment = 1
name = "a # [[x]] = \\" b"   # after it

[[item]]
key = "one"
guide = [
    "first, with = and [brackets]",
    # between
    "second",
]
text = """
[[item]]
key = "not a key"
"""
where.a = {b = [1, 2], "c = d" = 3}
[[item.part]]
key = 'single \\'
[item.sub]
key = "of the sub-table"
[[item]]
"key" = "two"
[[item.part]]
key = "part of two"
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("name",), 2),
        (("item", 0), 4),
        (("item", 0, "key"), 5),
        (("item", 0, "guide"), 6),
        (("item", 0, "text"), 11),
        (("item", 0, "where"), 15),
        (("item", 0, "where", "a", "b"), 15),
        (("item", 0, "part", 0, "key"), 17),
        (("item", 0, "sub", "key"), 19),
        (("item", 1), 20),
        (("item", 1, "key"), 21),
        (("item", 1, "part", 0, "key"), 23),
        (("item", 1, "missing"), 20),
        (("elsewhere",), 1),
    ],
)
def test_a_value_stands_where_it_is_written(path: Path, line: int) -> None:
    assert tomllib.loads(AWKWARD)
    assert Lines(AWKWARD).of(path) == line
    assert Lines(AWKWARD.replace("\n", "\r\n")).of(path) == line


def test_a_word_narrows_a_long_value_to_one_line() -> None:
    assert Lines(AWKWARD).of(("item", 0, "guide"), "second") == 9
    assert Lines(AWKWARD).of(("item", 0, "guide"), "third") == 6


def test_every_value_of_the_supplied_programme_is_found_in_its_line() -> None:
    text = supplied_text()
    rows, lines = text.split("\n"), Lines(text)
    found = list(_keys(tomllib.loads(text), ()))
    assert len(found) > 1000
    assert [p for p in found if not rows[lines.of(p) - 1].startswith(f"{p[-1]} = ")] == []


def _keys(value: Any, path: Path) -> list[Path]:
    """Paths of what is written as `key = …` in a line of its own."""
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return [one for i, part in enumerate(value) for one in _keys(part, (*path, i))]
    if isinstance(value, dict) and (not path or isinstance(path[-1], int)):
        return [one for key, part in value.items() for one in _keys(part, (*path, key))]
    return [path]
