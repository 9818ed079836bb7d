"""The work record of a visit as PDF/A-3 with record.json inside.

It tells what was inspected, by whom, from where, what was found and what was done.  The
statement of 14 CFR 43.9 or 43.11 and the entry in the log are the authorised signer's; the first
page says so, and nothing in it calls an aircraft fit to fly.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from app.inspection.canonical import utc_text
from app.inspection.rounds.said_once import named
from app.record.pdf_legs import add_legs
from app.record.pdf_sheet import Sheet
from app.record.pdf_words import (
    ACTIONS,
    CORRECTIONS,
    MEANINGS,
    People,
    Record,
    corrected_words,
    deferred,
    part_of,
    times_words,
)
from app.record.words import when, words

_CASE_STATES = {
    "open": "open",
    "acted": "acted on, not looked at again",
    "cleared": "cleared",
    "deferred": "deferred",
}


@dataclass(frozen=True)
class WorkRecord:
    """What the pages are made from.

    Attributes
    ----------
    record : mapping
        As `app.inspection.rounds.record.record_of` gives it.
    head : str
        Hash of the inspection's last event, hex; empty where it is not known.
    head_number : int
    key : str
        Short name of the archive's key that signs heads; empty where there is none.
    program : str
        The version that makes the pages.
    made_at : datetime
    pictures : mapping of str to bytes
        Small JPEG copies of annotated photos by the SHA-256 of the annotated copy.
    """

    record: Record
    head: str
    head_number: int
    key: str
    program: str
    made_at: datetime
    pictures: Mapping[str, bytes] = field(default_factory=dict)


def work_record_pdf(work: WorkRecord) -> bytes:
    """Return the work record's file."""
    record = work.record
    aircraft, inspection = record["aircraft"], record["inspection"]
    name = f"{aircraft['registration']} · visit of {inspection['opened_at'][:10]} · {inspection['id'][:8]}"
    sheet = Sheet(
        f"Work record · {name}",
        f"chain {inspection['id'][:8]}, entry {work.head_number}, {work.head[:16]} · "
        f"made {when(utc_text(work.made_at))}",
    )
    sheet.set_title(f"Work record {name}")
    sheet.set_creator(f"Gearwitness {work.program}")
    sheet.set_creation_date(work.made_at)
    sheet.add_page()
    _first_page(sheet, work)
    add_legs(sheet, record, work.pictures)
    people = People(record)
    _discrepancies(sheet, people, record)
    _statements(sheet, people, record)
    _counts(sheet, people, record)
    _signatures(sheet, people, record)
    _excluded(sheet, record)
    _owner_page(sheet, people, record)
    data = json.dumps(record, ensure_ascii=False, indent=1, sort_keys=True).encode()
    sheet.embed_file(
        bytes=data, basename="record.json", mime_type="application/json", desc="This record for programs",
        associated_file_relationship="Source", modification_date=work.made_at,
    )  # fmt: skip
    return bytes(sheet.output())


def _first_page(sheet: Sheet, work: WorkRecord) -> None:
    record = work.record
    aircraft, programme, off = record["aircraft"], record["programme"], record.get("sign_off")
    sheet.title_line(f"Work record: landing gear of {aircraft['registration']}")
    sheet.says(record["not_said"], warn=True)
    if off is None:
        sheet.says("Not signed off: this is how the work stood when these pages were made.", warn=True)
    people = People(record)
    corrected = record.get("corrections", ())
    if corrected:
        sheet.says(corrected_words(len(corrected)), warn=True)
    followed = "no programme"
    if programme is not None:
        version = f"version {programme['version'][:12]}"
        followed = f"{programme['name']}, {programme['revision']}, {version}; {programme['document']}"
    times = times_words((record.get("corrected_times") or [off])[-1]) if off is not None else ""
    sheet.pairs([
        ("Aircraft", f"{aircraft['registration']}, {aircraft['kind']}, {aircraft['operator']}"),
        ("Type and extent of the inspection", followed),
        ("Visit opened", when(record["inspection"]["opened_at"])),
        ("Signed off", "not signed off" if off is None else people.did(off["person_id"], off["at"])),
        ("Total time, cycles, landings", times),
        ("Inspection", record["inspection"]["id"]),
        ("Head of its chain", f"entry {work.head_number}, {work.head}" if work.head else "–"),
        ("Archive's key", work.key or "–"),
        ("Program", f"Gearwitness {work.program}"),
    ])  # fmt: skip
    if corrected:
        sheet.heading("Corrected after sign-off")
        sheet.rows(
            ("Leg", "Item", "By whom", "Why", "What became of it"),
            [
                (one["leg"], one["title"], people.did(one["person_id"], one["at"]), one["reason"],
                 words(CORRECTIONS, one["state"]))
                for one in corrected
            ],
            (14, 22, 20, 24, 20),
        )  # fmt: skip
    _amended(sheet, people, record)
    sheet.heading("At a glance")
    sheet.rows(
        ("Leg", "Items", "Closed", "Open or waiting", "Not inspected", "Photo readings"),
        [_glance(leg) for leg in record["legs"]],
        (24, 12, 12, 18, 16, 18),
    )


def _amended(sheet: Sheet, people: People, record: Record) -> None:
    """Times put right and readings withdrawn after the sign-off; what was signed stands beside them."""
    corrected = record.get("corrected_times", ())
    if corrected:
        sheet.heading("Times put right after sign-off")
        signed = record["sign_off"]
        rows = [(times_words(signed), people.did(signed["person_id"], signed["at"]), "as signed off")]
        rows += [
            (times_words(one), people.did(one["person_id"], one["at"]), one["reason"]) for one in corrected
        ]
        sheet.rows(("Total time, cycles, landings", "By whom", "Why"), rows, (36, 30, 34))
    withdrawn = record.get("withdrawals", ())
    if withdrawn:
        sheet.heading("Readings withdrawn after sign-off")
        sheet.says("They do not stand; a discrepancy stands for each.", warn=True)
        sheet.rows(
            ("Leg", "Item", "By whom", "Why"),
            [
                (one["leg"], one["title"], people.did(one["person_id"], one["at"]), one["reason"])
                for one in withdrawn
            ],
            (16, 26, 26, 32),
        )


def _glance(leg: Mapping[str, Any]) -> tuple[str, ...]:
    states = [item["state"] for item in leg["items"]]
    closed, todo = states.count("closed"), states.count("to_do")
    counts = (len(states), closed, len(states) - closed - todo, todo)
    return (leg["position"], *map(str, counts), leg["basis"])


def _discrepancies(sheet: Sheet, people: People, record: Record) -> None:
    sheet.heading("Discrepancies, and what was done")
    cases = record["discrepancies"]
    if not cases:
        sheet.says("None was entered.")
        return
    rows = []
    for case in cases:
        one = case["discrepancy"]
        came = "carried from an earlier visit; " if case["carried"] else ""
        opened = f"{one['text']}\n{came}{people.did(one['opened_by'], one['opened_at'])}"
        rows.append(
            (one["place"], opened, "\n".join(_done(people, case)), words(_CASE_STATES, one["state"]).lower())
        )
    sheet.rows(("Where", "What was found", "What was done", "State"), rows, (16, 32, 38, 14))


def _done(people: People, case: Mapping[str, Any]) -> Iterator[str]:
    for one in case["steps"]:
        told = ", ".join(f"{name.replace('_', ' ')}: {value}" for name, value in one["told"].items() if value)
        step = f"{one['number']}. {words({}, one['key'])}" + (f": {told}" if told else "")
        yield f"{step} ({people.did(one['person_id'], one['at'])})"
    for one in case["actions"]:
        yield (
            f"{words(ACTIONS, one['kind'])}: {one['text']}. By {one['data_reference']}. "
            f"{people.did(one['person_id'], one['at'])}"
        )
        for title, parts in (("Removed", one["removed"]), ("Fitted", one["fitted"])):
            yield from (f"{title}: {part_of(part)}" for part in parts)
    said = deferred(people, case["deferral"])
    if said:
        yield said


def _statements(sheet: Sheet, people: People, record: Record) -> None:
    sheet.heading("Conditions and statements")
    rows: dict[tuple[str, str], list[str]] = {}
    for one in record["statements"]:
        said = "\n".join(
            text.rstrip(".") + (f": {told}." if told else ".") for _, text, told in one["statements"]
        )
        rows.setdefault((words({}, one["what"]), said), []).append(people.did(one["by"], one["at"]))
    sheet.rows(
        ("Condition", "What was stated", "By whom"),
        [(what, said, "\n".join(by)) for (what, said), by in rows.items()],
        (16, 54, 30),
    )


def _counts(sheet: Sheet, people: People, record: Record) -> None:
    rows = []
    for one in record["opened"]:
        closed = people.did(one["closed_by"], one["closed_at"]) if one["closed_by"] else "still open"
        what = f"{words({}, one['kind'])}: {one['place']}"
        rows.append((what, people.did(one["by"], one["at"]), closed))
    for one in record["out"]:
        back = f"{one['back']} back, {people.did(one['back_by'], one['back_at'])}"
        what = f"{one['quantity']} {named(words({}, one['kind']).lower(), one['name'])}"
        rows.append((what, people.did(one["by"], one["at"]), back if one["back_by"] else "still out"))
    for one in record["handovers"]:
        taken = people.did(one["taker_id"], one["taken_at"], "took over")
        given = people.did(one["giver_id"], one["given_at"])
        rows.append(("Work handed over", given, taken if one["taken_at"] else "not taken over"))
    if rows:
        sheet.heading("Opened, counted out, handed over")
        sheet.rows(("What", "By whom", "Closed, back, taken"), rows, (40, 30, 30))
    serviced = [
        "\n".join(_done(people, {"steps": one["steps"], "actions": (), "deferral": None}))
        for one in record["servicing"]
    ]
    if serviced:
        sheet.heading("Servicing")
        sheet.rows(("Steps with quantities and batch",), [(one,) for one in serviced], (100,))


def _signatures(sheet: Sheet, people: People, record: Record) -> None:
    sheet.heading("Signatures")
    sheet.says(
        "Each was made by the signer's own password, typed for that act, and is bound to what was shown: the "
        "first number is the beginning of its SHA-256, the second that of the event in the archive's chain."
    )
    sheet.rows(
        ("When", "Who", "Certificate", "What it says", "Bound to"),
        [
            (
                when(one["at"]), people.name(one["person_id"]), one["certificate"],
                words(MEANINGS, one["meaning"]).lower(),
                f"{one['signed_hash'][:12]}\n{one['event_hash'][:12]}",
            )
            for one in record["signatures"]
        ],
        (20, 20, 24, 20, 16),
    )  # fmt: skip


def _excluded(sheet: Sheet, record: Record) -> None:
    excluded = (record["programme"] or {}).get("excluded") or []
    if excluded:
        sheet.heading("Left out of the programme, by name")
        sheet.rows(("What", "Why"), [(one["title"], one["reason"]) for one in excluded], (35, 65))


def _owner_page(sheet: Sheet, people: People, record: Record) -> None:
    """The dated list of what stands open (14 CFR 43.11(b)), on a page of its own to be handed over."""
    sheet.add_page()
    sheet.start_section("List for the owner")
    sheet.title_line(f"List for the owner of {record['aircraft']['registration']}")
    off = record.get("sign_off")
    corrected = "when these pages were made, with what was corrected after the sign-off"
    stood = when(off["at"]) if off else "when these pages were made"
    late = record.get("corrections") or record.get("withdrawals")
    stood = corrected if late else stood
    sheet.says(f"Found on the visit of {when(record['inspection']['opened_at'])}, as it stood {stood}.")
    rows = [
        (str(number), one["leg"], one["text"], deferred(people, one["deferral"]) or "not deferred")
        for number, one in enumerate(record["owner_list"], 1)
    ]
    if rows:
        sheet.rows(("No.", "Leg", "Discrepancy", "Deferral"), rows, (7, 15, 40, 38))
    else:
        sheet.says("No discrepancy stands open.")
    sheet.says(record["not_said"])
