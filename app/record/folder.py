"""An export: a folder that any browser opens and a plain script checks, without us and without a network.

::

    index.html  README.txt  verify.py  record.schema.json  export.json  SHA256SUMS
    inspections/2024-05-01-ZZ-GWT-1a2b3c4d/
        index.html  record.json  annotations.jsonld
        chain.jsonl  archive.jsonl  signatures.json
        photos/<sha256>.jpg  annotated/<sha256>.jpg  copies/<sha256>-copy.jpg

It is written under another name and renamed when it is whole.
"""

import json
import re
import shutil
import zipfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass, field
from importlib import resources
from pathlib import Path
from typing import Any

from app.errors import ArchiveError, InspectionError, UsageError
from app.inspection.canonical import sha256
from app.inspection.exchange import Bundle, Exchange, Link
from app.inspection.ports import Photos
from app.record import pages
from app.record.annotations import annotations
from app.record.copies import Wishes
from app.record.entries import SCHEMA, FileEntry, FileState, as_json, record, schema
from app.record.files import Files
from app.record.verify_export import SUMS

FORMAT, VERSION = "gearwitness-export", 1
_README = """\
Landing gear inspections, exported from an archive of Gearwitness.

Open index.html in any browser. Nothing is loaded from elsewhere.
Check the whole with:  python3 verify.py   (plain Python 3.9 or newer)
or only the files with:  sha256sum --check SHA256SUMS

record.json        the entries of an inspection; its schema is record.schema.json
annotations.jsonld marks on the photos (W3C Web Annotation Data Model); they count
                   from the upper left corner of the upright photo, that is with
                   the photo's orientation (EXIF) applied
chain.jsonl        the inspection's events as they are stored: hash = SHA-256(previous
                   as 32 bytes, then the UTF-8 bytes of body)
archive.jsonl      the events of the archive's own chain that concern it
signatures.json    heads of that chain signed with the archive's key (Ed25519)
photos             originals, byte for byte, named by their SHA-256
copies             copies from which something was removed; they say so themselves
"""

Tell = Callable[[int, int, str], None]
"""Gets how many inspections are done, of how many, and which was done last."""


@dataclass
class Exported:
    """What an export holds, and what it could not.

    Attributes
    ----------
    left_out : list of (inspection id, sentence)
        Inspections that were not exported, and why.
    sums : str
        SHA-256 of the list of hashes: who keeps it can tell later that the export is the same.
    """

    inspections: int = 0
    photos: int = 0
    copies: int = 0
    left_out: list[tuple[str, str]] = field(default_factory=list)
    sums: str = ""


def check_out(out: Path) -> None:
    """Refuse a place where something is already.

    Raises
    ------
    UsageError
        It is there and not an empty folder, or the folder around it is missing.
    """
    if out.exists() and (not out.is_dir() or any(out.iterdir())):
        msg = f"{out} is there already: give the export a new folder"
        raise UsageError(msg)
    if not out.absolute().parent.is_dir():
        msg = f"the folder {out.absolute().parent} does not exist: make it, or export elsewhere"
        raise UsageError(msg)


def export(
    exchange: Exchange,
    photos: Photos,
    inspection_ids: Sequence[str],
    out: Path,
    wishes: Wishes,
    program: str,
    tell: Tell = lambda done, of, what: None,
) -> Exported:
    """Write an export.

    Parameters
    ----------
    out : Path
        A folder that is not there, or empty.
    program : str
        The version that writes.

    Raises
    ------
    UsageError
        Something is at `out` already, or a rectangle names no photo of these inspections.
    OSError
        The folder does not take it.
    """
    check_out(out)
    under_way = out.absolute().with_name(f".{out.name}.under-way")
    shutil.rmtree(under_way, ignore_errors=True)
    under_way.mkdir()
    try:
        made = _Export(under_way, photos, wishes, program)
        for number, id_ in enumerate(inspection_ids, 1):
            made.add(exchange, id_)
            tell(number, len(inspection_ids), id_)
        made.finish()
        if out.exists():
            out.rmdir()
        under_way.replace(out)
    except BaseException:
        shutil.rmtree(under_way, ignore_errors=True)
        raise
    return made.done


def pack(folder: Path, archive: Path) -> None:
    """Write a folder into a zip file, whole or not at all; photos do not shrink and are only stored."""
    under_way = archive.with_name(f".{archive.name}.under-way")
    try:
        with zipfile.ZipFile(under_way, "w", zipfile.ZIP_STORED) as packed:
            for path in sorted(folder.rglob("*")):
                if path.is_file():
                    packed.write(path, f"{folder.name}/{path.relative_to(folder).as_posix()}")
        under_way.replace(archive)
    except BaseException:
        under_way.unlink(missing_ok=True)
        raise


class _Export:
    """An export under way in a folder of its own."""

    def __init__(self, folder: Path, photos: Photos, wishes: Wishes, program: str) -> None:
        self.done = Exported()
        self._folder = folder
        self._photos = photos
        self._wishes = wishes
        self._program = program
        self._lines: list[pages.Line] = []
        self._listed: list[dict[str, Any]] = []
        self._seen: set[str] = set()

    def add(self, exchange: Exchange, inspection_id: str) -> None:
        """Write one inspection, or keep why it was left out."""
        name = None
        try:
            bundle = exchange.bundle(inspection_id)
            name = f"inspections/{_folder_name(bundle)}"
            files = Files(self._folder / name, self._photos, self._wishes).write(bundle)
        except (ArchiveError, InspectionError) as error:
            self.done.left_out.append((inspection_id, str(error)))
            if name is not None:
                shutil.rmtree(self._folder / name, ignore_errors=True)
            return
        _write_inspection(self._folder / name, bundle, files, self._program)
        last = bundle.events[-1]
        head = {"number": last.number, "hash": last.hash}
        self._listed.append({"id": inspection_id, "folder": name, "head": head})
        self._lines.append(pages.line_of(bundle, name))
        self._seen |= files.keys()
        self.done.inspections += 1
        self.done.photos += sum(one.state is FileState.HERE for one in files.values())
        self.done.copies += sum(one.state is FileState.COPY for one in files.values())

    def finish(self) -> None:
        """Write what concerns all of them, the list of hashes last."""
        _check_blanks(self._wishes, self._seen)
        told = {"format": FORMAT, "version": VERSION, "program": self._program, "inspections": self._listed}
        script = resources.files("app.record") / "verify_export.py"
        for name, data in (
            ("export.json", as_json(told)),
            ("index.html", pages.index(self._lines, _notes(self._wishes, self.done))),
            ("README.txt", _README.encode("utf-8")),
            (SCHEMA, schema().encode("utf-8")),
            ("verify.py", script.read_bytes()),
        ):
            (self._folder / name).write_bytes(data)
        self.done.sums = _write_sums(self._folder)


def _write_inspection(folder: Path, bundle: Bundle, files: dict[str, FileEntry], program: str) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "record.json").write_bytes(as_json(record(bundle, files, program)))
    (folder / "annotations.jsonld").write_bytes(as_json(annotations(bundle, files)))
    (folder / "chain.jsonl").write_bytes(_lines(bundle.events))
    (folder / "archive.jsonl").write_bytes(_lines(bundle.context))
    (folder / "signatures.json").write_bytes(as_json([asdict(one) for one in bundle.signatures]))
    (folder / "index.html").write_bytes(pages.inspection(bundle, files))


def _lines(links: Iterable[Link]) -> bytes:
    # A body is UTF-8 in the canonical form, so as text it loses nothing.
    told = (
        {"number": one.number, "previous": one.previous, "hash": one.hash, "body": one.body.decode("utf-8")}
        for one in links
    )
    return "".join(json.dumps(one, ensure_ascii=True) + "\n" for one in told).encode("ascii")


def _folder_name(bundle: Bundle) -> str:
    line = pages.line_of(bundle, "")
    safe = re.sub(r"[^A-Za-z0-9-]+", "-", line.registration).strip("-") or "aircraft"
    return f"{line.opened[:10]}-{safe}-{bundle.inspection_id[:8]}"


def _check_blanks(wishes: Wishes, seen: set[str]) -> None:
    for begins in wishes.blank:
        if sum(sha.startswith(begins) for sha in seen) != 1:
            msg = (
                f"{begins} does not begin the SHA-256 of one photo of these inspections: nothing was exported"
            )
            raise UsageError(msg)


def _notes(wishes: Wishes, done: Exported) -> list[str]:
    notes = []
    if wishes.place:
        notes.append("Where the photos were taken was removed: copies stand here for the originals.")
    if wishes.blank:
        notes.append("A person blanked parts of photos: copies stand here for these originals.")
    if done.left_out:
        notes.append(f"{len(done.left_out)} inspections could not be exported, because they do not verify.")
    return notes


def _write_sums(folder: Path) -> str:
    lines = []
    for path in sorted(folder.rglob("*"), key=lambda one: one.relative_to(folder).as_posix()):
        if path.is_file():
            lines.append(f"{sha256(path.read_bytes())}  {path.relative_to(folder).as_posix()}\n")
    data = "".join(lines).encode("utf-8")
    (folder / SUMS).write_bytes(data)
    return sha256(data)
