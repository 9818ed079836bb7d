"""An export read again: checked as its own script checks it, then given to an archive.

The photos come first, then in one transaction the inspection; so an import that was
stopped leaves whole inspections and at worst files that nothing refers to.
"""

import json
import shutil
import tempfile
import zipfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from app.errors import ArchiveError, Conflict, UsageError
from app.inspection.exchange import Bundle, Exchange, HeadSignature, Link, Taken
from app.inspection.ports import Photos
from app.record.entries import FileState
from app.record.folder import Tell
from app.record.verify_export import check

_MOST_BYTES = 200 * 2**30
"""A zip file that claims to hold more than this is none of ours."""


@dataclass
class Imported:
    """What an import did.

    Attributes
    ----------
    done : dict
        How many inspections are new, had gone on, or were there.
    open : int
        How many that came in are not closed: who goes on with one in both archives parts their chains.
    refused : list of (inspection id, sentence)
    """

    done: dict[Taken, int] = field(default_factory=lambda: dict.fromkeys(Taken, 0))
    photos: int = 0
    open: int = 0
    refused: list[tuple[str, str]] = field(default_factory=list)


@contextmanager
def unpacked(path: Path) -> Iterator[Path]:
    """Give the folder of an export; a zip file is unpacked aside and removed afterwards.

    Raises
    ------
    UsageError
        It is neither, or holds paths that lead out of it.
    """
    if path.is_dir():
        yield path
        return
    if not zipfile.is_zipfile(path):
        msg = f"{path} is no folder and no zip file of an export: name one of both"
        raise UsageError(msg)
    aside = Path(tempfile.mkdtemp(prefix=".import-", dir=path.absolute().parent))
    try:
        with zipfile.ZipFile(path) as packed:
            for one in packed.infolist():
                inside = (aside / one.filename).resolve().is_relative_to(aside.resolve())
                if not inside or "\\" in one.filename:
                    msg = f"{path} holds {one.filename!r}, which leads out of it: nothing was imported"
                    raise UsageError(msg)
            if sum(one.file_size for one in packed.infolist()) > _MOST_BYTES:
                msg = f"{path} claims to hold more than {_MOST_BYTES >> 30} GiB: unpack it yourself"
                raise UsageError(msg)
            packed.extractall(aside)
        inside_ = [one for one in aside.iterdir() if one.is_dir()]
        yield aside if (aside / "export.json").exists() or len(inside_) != 1 else inside_[0]
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def import_folder(
    folder: Path,
    exchange: Exchange,
    photos: Photos,
    anchor: str = "",
    tell: Tell = lambda done, of, what: None,
) -> Imported:
    """Import every inspection of an export.

    Parameters
    ----------
    anchor : str
        A head known from elsewhere that has to be in the export.

    Raises
    ------
    UsageError
        The folder is no export.
    ArchiveError
        It does not verify: nothing was imported.
    """
    try:
        found = check(folder, anchor)
        told = json.loads((folder / "export.json").read_text(encoding="utf-8"))["inspections"]
    except (OSError, ValueError, KeyError, TypeError) as error:
        msg = f"{folder} cannot be imported: {error}"
        raise UsageError(msg) from error
    if found.faults:
        more = f" and {len(found.faults) - 5} more" if len(found.faults) > 5 else ""
        msg = f"The export does not verify, so nothing was imported: {'; '.join(found.faults[:5])}{more}."
        raise ArchiveError(msg)
    done = Imported()
    for number, one in enumerate(told, 1):
        here = folder / one["folder"]
        try:
            bundle, files = _read(here, one["id"])
            _require_originals(files, photos)
            for sha, file in files.items():
                if file["state"] == FileState.HERE and not photos.has(sha):
                    photos.put((here / file["path"]).read_bytes())
                    done.photos += 1
            did = exchange.take(bundle)
            done.done[did] += 1
            if did is not Taken.THERE and bundle.own["inspections", one["id"]].get("closed_at") is None:
                done.open += 1
        except (Conflict, ArchiveError) as error:
            done.refused.append((one["id"], str(error)))
        tell(number, len(told), one["folder"].rpartition("/")[2])
    return done


def _read(folder: Path, inspection_id: str) -> tuple[Bundle, dict[str, dict[str, Any]]]:
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    signatures = json.loads((folder / "signatures.json").read_text(encoding="utf-8"))
    bundle = Bundle(
        inspection_id,
        _links(folder / "chain.jsonl", inspection_id),
        _links(folder / "archive.jsonl", "archive"),
        tuple(HeadSignature(**one) for one in signatures),
    )
    return bundle, record["files"]


def _links(path: Path, chain: str) -> tuple[Link, ...]:
    told = (json.loads(line) for line in path.read_text(encoding="utf-8").splitlines())
    return tuple(
        Link(chain, one["number"], one["previous"], one["hash"], one["body"].encode("utf-8")) for one in told
    )


def _require_originals(files: dict[str, dict[str, Any]], photos: Photos) -> None:
    missing: Sequence[str] = [
        sha
        for sha, file in files.items()
        if file["state"] in (FileState.COPY, FileState.WITHHELD) and not photos.has(sha)
    ]
    if missing:
        msg = (
            f"The export holds copies for {len(missing)} originals, and a record needs the originals: "
            "export again without leaving anything out."
        )
        raise ArchiveError(msg)
