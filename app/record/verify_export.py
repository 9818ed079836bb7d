"""Check an export of Gearwitness: is everything as the archive gave it out, and does it hold together?

This file lies in every export as ``verify.py`` and needs nothing but Python 3.9 or newer:

    python3 verify.py [FOLDER] [--anchor HASH]

It checks every file's SHA-256, each inspection's chain of events from the first to
the last, that record.json says what the events say, that the archive's chain holds
the chain's head, and the signatures of the archive's heads where the Python package
``cryptography`` is installed.  HASH is a head of the archive's or of an inspection's
chain that you have from elsewhere, e.g. from a printed record, there perhaps with its
number before it: it has to be in here.

Exit 0 all is as it was, 3 something is not, 2 this is no export.
"""

import argparse
import hashlib
import json
import sys
from pathlib import Path
from typing import Any

SUMS = "SHA256SUMS"
PHOTO_FIELDS = ("photo", "annotated")
SIGNED = {"confirmations": "confirmer_id", "signatures": "person_id"}
"""Entries that stand on a signature, and the field that says whose."""
NOTHING = "0" * 64
Told = dict[str, Any]


class Check:
    """What was found in one folder: `faults` are wrong, `remarks` are worth knowing."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.faults: list[str] = []
        self.remarks: list[str] = []
        self.hashes: set[str] = set()
        self.keys: set[str] = set()
        self.signatures = 0

    def fault(self, where: str, what: str) -> None:
        """Enter a fault."""
        self.faults.append(f"{where}: {what}")


def check(folder: Path, anchor: str = "") -> Check:
    """Check a whole export.

    Raises
    ------
    ValueError
        The folder is no export.
    """
    told = read_json(folder / "export.json")
    if not isinstance(told, dict) or told.get("format") != "gearwitness-export":
        raise ValueError(f"{folder} is no export of Gearwitness: give the folder that holds export.json")
    if told.get("version") != 1:
        raise ValueError(f"{folder} is an export of version {told.get('version')}: use a newer program")
    found = Check(folder)
    check_sums(found)
    for one in told["inspections"]:
        check_inspection(found, folder / one["folder"], one)
    if anchor and anchor.lower().rpartition(":")[2] not in found.hashes:
        found.fault(f"anchor {anchor}", "no chain in this export has this head")
    return found


def check_sums(found: Check) -> None:
    """Compare every file with the list of hashes, and the list with the files that are there."""
    listed = {}
    for line in (found.folder / SUMS).read_text(encoding="utf-8").splitlines():
        sha, _, name = line.partition("  ")
        listed[name] = sha
    for name, sha in sorted(listed.items()):
        path = found.folder / name
        if not path.is_file():
            found.fault(name, "the file is missing")
        elif sha256_of(path) != sha:
            found.fault(name, "the file was changed or damaged")
    for path in sorted(found.folder.rglob("*")):
        name = path.relative_to(found.folder).as_posix()
        if path.is_file() and name != SUMS and name not in listed:
            found.fault(name, "the file is no part of the export")


def check_inspection(found: Check, folder: Path, told: Told) -> None:
    """Check one inspection: its chain, its record, its files."""
    where = told["folder"]
    try:
        record = read_json(folder / "record.json")
        events = read_lines(folder / "chain.jsonl")
        context = read_lines(folder / "archive.jsonl")
        signatures = read_json(folder / "signatures.json")
        chain_holds(found, f"{where}/chain.jsonl", events, gaps=False)
        chain_holds(found, f"{where}/archive.jsonl", context, gaps=True)
        head_is_entered(found, where, told, events, context)
        acts_were_signed(found, where, events)
        rows = rows_of(context + events)
        if record["entries"] != nested(rows):
            found.fault(f"{where}/record.json", "its entries are not what the events say")
        files_are_there(found, where, record, rows, context)
        check_signatures(found, where, context, signatures)
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        found.fault(where, f"it cannot be read ({type(error).__name__}: {error})")


def chain_holds(found: Check, where: str, events: list[Told], gaps: bool) -> None:
    """Check that each event's bytes have its hash, and that it follows from the one before."""
    last, before = 0, NOTHING
    for event in events:
        number = event["number"]
        here = f"{where}, event {number}"
        body = event["body"].encode("utf-8")
        if hashlib.sha256(bytes.fromhex(event["previous"]) + body).hexdigest() != event["hash"]:
            found.fault(here, "its bytes do not have its hash: they were changed")
        if canonical(json.loads(body)) != body:
            found.fault(here, "its bytes are not in the canonical form")
        if number == last + 1:
            if event["previous"] != before:
                found.fault(here, "it does not follow from the event before it")
        elif not gaps or number <= last:
            found.fault(here, f"it follows event {last}: what was between is gone")
        last, before = number, event["hash"]
        found.hashes.add(event["hash"])


def head_is_entered(found: Check, where: str, told: Told, events: list[Told], context: list[Told]) -> None:
    """Check that the chain ends where the archive's chain, and the list of inspections, say."""
    ends = {"number": events[-1]["number"], "hash": events[-1]["hash"]}
    entered = [body for body in map(body_of, context) if body["kind"] == "head"]
    entered = [body["data"] for body in entered if body["inspection"] == told["id"]]
    if not entered or entered[-1] != ends:
        found.fault(
            where, f"its chain ends with event {ends['number']}, which the archive's chain does not say"
        )
    if told["head"] != ends:
        found.fault("export.json", f"the head of {where} is not where its chain ends")
    for number, event in enumerate(map(body_of, events), 1):
        if event["inspection"] != told["id"]:
            found.fault(f"{where}/chain.jsonl, event {number}", "it belongs to another inspection")


def acts_were_signed(found: Check, where: str, events: list[Told]) -> None:
    """Check that what a person signed is the record that the event holds."""
    signed = {}
    acts = []
    for event in events:
        body = body_of(event)
        if body["kind"] == "signed":
            signed[event["hash"]] = (body["by"], body["data"]["signed"])
            record = hashlib.sha256(canonical(body["data"]["record"])).hexdigest()
            if record != body["data"]["signed"]:
                here = f"{where}/chain.jsonl, event {event['number']}"
                found.fault(here, "the record is not what was signed")
        rows = body["data"].get("rows", [])
        acts += [one for one in rows if one["entry"] in SIGNED and "event_hash" in one["set"]]
    for one in acts:
        told = one["set"]
        if signed.get(told["event_hash"]) != (told[SIGNED[one["entry"]]], told["signed_hash"]):
            found.fault(where, f"{one['entry']} {one['id']} has no signature of its own")


def files_are_there(found: Check, where: str, record: Told, rows: Told, context: list[Told]) -> None:
    """Check that every photo the entries name is here, a copy that says so, or deleted by a recorded act."""
    acts = [body["data"] for body in map(body_of, context) if body["kind"] == "photo-deleted"]
    deleted = {sha for act in acts for sha in act["photos"]}
    files = record["files"]
    named = {row[field] for row in rows.values() for field in PHOTO_FIELDS if row.get(field)}
    for sha in sorted(named):
        if sha not in files:
            found.fault(f"{where}/record.json", f"nothing is said of the file {sha}")
            continue
        told = files[sha]
        if told["state"] == "here" and sha256_of(found.folder / where / told["path"]) != sha:
            found.fault(f"{where}/{told['path']}", "it is not the photo that its name says")
        if told["state"] == "copy":
            found.remarks.append(f"{where}: of {sha[:12]} there is a copy only ({told['removed']} removed)")
        if told["state"] == "withheld":
            found.remarks.append(f"{where}: {sha[:12]} was left out ({told['removed']} would be seen)")
        if told["state"] == "deleted":
            found.remarks.append(f"{where}: {sha[:12]} was deleted by a recorded act")
            if sha not in deleted:
                found.fault(f"{where}/record.json", f"no act says that {sha} was deleted")


def check_signatures(found: Check, where: str, context: list[Told], signatures: list[Told]) -> None:
    """Check the archive's signatures over its heads; without `cryptography` only what they belong to."""
    hashes = {event["number"]: event["hash"] for event in context}
    for one in signatures:
        here = f"{where}/signatures.json, head {one['number']}"
        if hashes.get(one["number"]) != one["hash"]:
            found.fault(here, "it signs another head than the one in archive.jsonl")
        if hashlib.sha256(bytes.fromhex(one["public"])).hexdigest() != one["key_id"]:
            found.fault(here, "its key is not the one that its name says")
        if not is_signed(one):
            found.fault(here, "the signature does not belong to this head and key")
            continue
        found.keys.add(one["key_id"])
        found.signatures += 1
    last = max((event["number"] for event in context if body_of(event)["kind"] == "head"), default=0)
    if not any(one["number"] >= last for one in signatures):
        found.remarks.append(f"{where}: the archive has not signed its last head, so only the chain vouches")


def is_signed(one: Told) -> bool:
    """Return whether an Ed25519 signature (RFC 8032) is right; True where that cannot be told here."""
    try:
        from cryptography.exceptions import InvalidSignature  # noqa: PLC0415
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey  # noqa: PLC0415
    except ImportError:
        return True
    key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(one["public"]))
    try:
        key.verify(bytes.fromhex(one["signature"]), signed_bytes(one["number"], one["hash"]))
    except InvalidSignature:
        return False
    return True


def signed_bytes(number: int, head: str) -> bytes:
    """Return what the archive's key signs of a head."""
    return f"gearwitness archive head {number} {head}\n".encode("ascii")


def can_check_signatures() -> bool:
    """Return whether the package that checks signatures is there."""
    try:
        import cryptography  # noqa: F401, PLC0415
    except ImportError:
        return False
    return True


def rows_of(events: list[Told]) -> dict[Any, Any]:
    """Return the entries as the events leave them, by (kind, id)."""
    rows: dict[tuple[str, str], Told] = {}
    for event in events:
        for one in body_of(event)["data"].get("rows", []):
            rows.setdefault((one["entry"], one["id"]), {}).update(one["set"])
    return rows


def nested(rows: dict[Any, Any]) -> dict[Any, Any]:
    """Return entries as record.json has them: by kind, then by id."""
    found: dict[str, dict[str, Told]] = {}
    for (entry, id_), row in rows.items():
        found.setdefault(entry, {})[id_] = row
    return found


def body_of(event: Told) -> Told:
    """Return what an event says."""
    body = json.loads(event["body"])
    if not isinstance(body, dict):
        raise ValueError(f"event {event['number']} is no event")
    return body


def canonical(value: object) -> bytes:
    """Return the one way in which a value is written for its hash."""
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return text.encode("utf-8")


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file in hex."""
    found = hashlib.sha256()
    with path.open("rb") as file:
        while read := file.read(1 << 20):
            found.update(read)
    return found.hexdigest()


def read_json(path: Path) -> Any:
    """Return what a JSON file holds."""
    return json.loads(path.read_text(encoding="utf-8"))


def read_lines(path: Path) -> list[Told]:
    """Return what each line of a file holds."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def main(arguments: "list[str] | None" = None) -> int:
    """Check the folder that is named, or the one that this script lies in; return the exit status."""
    parser = argparse.ArgumentParser(description="Check an export of Gearwitness.")
    parser.add_argument("folder", nargs="?", type=Path, default=Path(__file__).resolve().parent)
    parser.add_argument("--anchor", default="", metavar="HASH", help="a head that has to be in here")
    options = parser.parse_args(arguments)
    try:
        found = check(options.folder, options.anchor)
    except (OSError, ValueError, KeyError, TypeError) as error:
        print(f"This cannot be checked: {error}", file=sys.stderr)
        return 2
    for one in found.faults:
        print(f"WRONG  {one}")
    for one in found.remarks:
        print(f"note   {one}")
    if not can_check_signatures():
        print("note   signatures were not checked: the Python package cryptography is not installed")
    elif found.signatures:
        print(f"{found.signatures} signatures hold, of the key {', '.join(sorted(found.keys))}:")
        print("compare it with the one on a printed record, because anybody can make a key.")
    if found.faults:
        print(f"{len(found.faults)} things are not as they were given out.")
        return 3
    print("Every file and every chain is as it was given out.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
