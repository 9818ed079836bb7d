"""An inspection's record.json: its entries as the events tell them, and what became of each file.

The schema is `record.schema.json` (JSON Schema 2020-12), which lies in every export.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from importlib import resources
from typing import Any

from app.inspection.exchange import Bundle

FORMAT, VERSION = "gearwitness-record", 1
SCHEMA = "record.schema.json"


class FileState(StrEnum):
    """What an export holds of a file.

    HERE: its bytes.  COPY: a copy from which something was removed.  WITHHELD:
    nothing, because what was to be removed is seen on it.  DELETED: nothing, a
    recorded act deleted it.
    """

    HERE = "here"
    COPY = "copy"
    WITHHELD = "withheld"
    DELETED = "deleted"


@dataclass(frozen=True)
class FileEntry:
    """One file that entries name by its SHA-256.

    Attributes
    ----------
    what : str
        ``"photo"``, an original, or ``"annotated"``, drawn on a copy of one.
    path : str or None
        Within the inspection's folder; None where there is none.
    type : str
        Media type, ``"application/octet-stream"`` where it is none that is known.
    removed : str
        What was removed from a copy, or kept the file out.
    """

    what: str
    state: FileState
    path: str | None
    type: str
    removed: str = ""


def record(bundle: Bundle, files: Mapping[str, FileEntry], program: str) -> dict[str, Any]:
    """Return what record.json holds.

    Parameters
    ----------
    files : mapping
        By SHA-256 in hex.
    program : str
        The version that writes the export.
    """
    last = bundle.events[-1]
    entries: dict[str, dict[str, Any]] = {}
    for (entry, id_), row in bundle.rows.items():
        entries.setdefault(entry, {})[id_] = row
    return {
        "format": FORMAT,
        "version": VERSION,
        "program": program,
        "inspection": bundle.inspection_id,
        "head": {"number": last.number, "hash": last.hash},
        "entries": entries,
        "files": {
            sha: {
                "what": one.what,
                "state": one.state.value,
                "path": one.path,
                "type": one.type,
                "removed": one.removed,
            }
            for sha, one in files.items()
        },
    }


def schema() -> str:
    """Return the schema of record.json as text."""
    return (resources.files("app.record") / SCHEMA).read_text(encoding="utf-8")


def as_json(value: Any) -> bytes:
    """Return a value as indented JSON, its keys in their order, for people who open the file."""
    return (json.dumps(value, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8")


def media_type(data: bytes) -> tuple[str, str]:
    """Return a file's media type and its usual ending, told by its first bytes."""
    if data.startswith(b"\xff\xd8\xff"):
        return "image/jpeg", ".jpg"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png", ".png"
    if data[4:8] == b"ftyp" and data[8:12] in (b"heic", b"heix", b"mif1", b"msf1", b"heim", b"hevc"):
        return "image/heic", ".heic"
    return "application/octet-stream", ".bin"
