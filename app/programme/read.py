"""A programme's file to `Programme`: the one door through which a programme comes in."""

import re
import tomllib
from bisect import bisect_left
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import Any, NoReturn

from app.errors import ProgrammeError
from app.programme import consistent
from app.programme.content import Content, Entry
from app.programme.faults import Fault, Faults, named, nearest, shown
from app.programme.keys import REQUIRED_TABLES, STATEMENT_KEYS, TABLES, TOP_KEYS
from app.programme.lines import Lines
from app.programme.model import Programme
from app.programme.table import Place, read_table
from app.programme.version import version_of

SUPPLIED = "oleo_retractable.toml"
_LARGEST_FILE = 1_000_000
_TABLE_LIKE = 0.6


def supplied_text() -> str:
    """Return the supplied programme's file, for a shop to copy and edit."""
    return files("app.programme").joinpath(SUPPLIED).read_text(encoding="utf-8")


def supplied_programme() -> Programme:
    """Return the supplied programme: a retractable leg with an oleo strut."""
    return read_programme(supplied_text(), SUPPLIED)


def load_programme(path: Path) -> Programme:
    """Return the programme in a file.

    Raises
    ------
    ProgrammeError
        The file cannot be read, or see `read_programme`.
    """
    return read_programme(load_text(path), path.name)


def load_text(path: Path) -> str:
    """Return the text of a programme's file.

    Raises
    ------
    ProgrammeError
        The file cannot be read, is too large, or is not UTF-8.
    """
    try:
        with path.open("rb") as file:
            data = file.read(_LARGEST_FILE + 1)
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        msg = f"{path.name}: line {line}: the file is not UTF-8 ({error.reason}): save it as UTF-8"
        raise ProgrammeError(msg) from error
    except (OSError, ValueError) as error:
        detail = getattr(error, "strerror", None) or error
        msg = f"{path}: the programme cannot be read ({detail}): give the path of a TOML file in UTF-8"
        raise ProgrammeError(msg) from error
    if len(data) > _LARGEST_FILE:
        msg = f"{path.name}: more than {_LARGEST_FILE} bytes are no programme: give the programme's TOML file"
        raise ProgrammeError(msg)
    return text


def read_programme(text: str, source: str) -> Programme:
    """Return the programme that a TOML text states.

    Parameters
    ----------
    text : str
        The file's text.
    source : str
        Name of the file, put in front of the faults.

    Raises
    ------
    ProgrammeError
        The text is no TOML, or states no sound programme: its message lists every
        fault with line, cause and remedy.
    """
    raw = _parsed(text, source)
    faults = Faults(Lines(text))
    content = _content(raw, faults)
    consistent.check(content)
    if faults.found():
        _fail(source, faults.found())
    return content.programme(version_of(raw))


def _parsed(text: str, source: str) -> dict[str, Any]:
    try:
        text.encode("utf-8")
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # TOMLDecodeError, and numbers no interpreter takes
        at = re.search(r"\(at (?:line (\d+), column (\d+)|end of document)\)", str(error))
        line = int(at[1]) if at and at[1] else _last_line(text, error)
        column = f", column {at[2]}" if at and at[2] else ""
        cause = str(error)[: at.start()].strip() if at else str(error) or "nested too deeply"
        _fail(
            source,
            (
                Fault(
                    line,
                    f"no valid TOML{column}",
                    cause[:1].lower() + cause[1:],
                    "correct that line; what else is wrong can be told only then",
                ),
            ),
            error,
        )


def _last_line(text: str, error: Exception) -> int:
    """Return the line of an error that does not tell its own."""
    rows = text.split("\n")
    if isinstance(error, tomllib.TOMLDecodeError):  # something is not closed at the document's end
        return max(1, len(text.rstrip("\n").split("\n")))

    def fails(count: int) -> bool:
        try:
            part = "\n".join(rows[:count])
            part.encode("utf-8")
            tomllib.loads(part)
        except tomllib.TOMLDecodeError:
            return False
        except (ValueError, RecursionError):
            return True
        return False

    # The reader goes from top to bottom, so once a beginning fails, every longer one does.
    return bisect_left(range(1, len(rows)), True, key=fails) + 1


def _fail(source: str, faults: tuple[Fault, ...], cause: Exception | None = None) -> NoReturn:
    count = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
    listed = "".join(f"\n  {fault}" for fault in faults)
    raise ProgrammeError(f"{source}: {count} in this programme{listed}") from cause


def _content(raw: Mapping[str, Any], faults: Faults) -> Content:
    top = Place((), "the programme", faults)
    tables: dict[str, list[Entry]] = {name: [] for name in TABLES}
    plain: dict[str, Any] = {}
    for name, value in raw.items():
        table = name if name in TABLES else _misspelt_table(name, value)
        if not table:
            plain[name] = value
            continue
        if table != name:
            top.at(name).fault(
                f"[[{named(name)}]] is not a known table", f"the nearest known one is [[{table}]]"
            )
        tables[table] += _entries(table, value, top.at(name))
    values = read_table(plain, TOP_KEYS, top)
    for name in REQUIRED_TABLES:
        if not tables[name] and not raw.get(name):
            top.fault(f"there is no [[{name}]]", f"write one [[{name}]] or more")
    return Content(Entry(top, values), tables, faults)


def _misspelt_table(name: str, value: Any) -> str:
    is_table = isinstance(value, dict) or (isinstance(value, list) and value and isinstance(value[0], dict))
    known_key = any(name == key.name for key in TOP_KEYS)
    return nearest(name, TABLES, _TABLE_LIKE) if is_table and not known_key else ""


def _entries(table: str, value: Any, place: Place) -> list[Entry]:
    if not isinstance(value, list):
        place.fault(
            f"{table} = {shown(value)} is not a list of tables" if not isinstance(value, dict)
            else f"[{table}] stands in single brackets",
            f"write [[{table}]], its keys below",
        )  # fmt: skip
        value = [value] if isinstance(value, dict) else []
    entries = []
    for number, raw in enumerate(value):
        at = place.at(number)
        if not isinstance(raw, dict):
            at.fault(f"{table} {number + 1} is not a table", f"write [[{table}]], its keys below")
            continue
        name = raw.get("key")
        at = Place(at.path, f"{table} {named(name) if isinstance(name, str) else number + 1}", at.faults)
        entry = Entry(at, read_table(raw, TABLES[table], at))
        if table == "condition":
            entry.values["statement"] = _statements(entry)
        entries.append(entry)
    return entries


def _statements(condition: Entry) -> list[Entry]:
    if "statement" not in condition.values:
        return []
    given, place = condition.values["statement"], condition.place.at("statement")
    if not isinstance(given, list) or not given or not all(isinstance(one, dict) for one in given):
        place.fault("statement is not a list of tables", "write [[condition.statement]], its keys below")
        return []
    return [
        Entry(place.at(number), read_table(one, STATEMENT_KEYS, place.at(number)))
        for number, one in enumerate(given)
    ]
