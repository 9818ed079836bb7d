"""Answers and looks as a batch that is shown item by item and signed; which answer an item stands on."""

from collections.abc import Sequence as Some
from dataclasses import dataclass
from typing import Any

from app.inspection.canonical import canonical, plain, sha256
from app.inspection.model import Item, Person
from app.inspection.ports import Reader
from app.inspection.rounds.common import leg_of, newest, require_programme, title_of
from app.inspection.rounds.model import Answer, Chart, Finding, Instrument, Look, LookOutcome

TAKEN_BACK = "Taken back before the signature: a judgement was changed."
FLAGS_LEFT = "Open again: the fault is acted on; two people have still to judge what the photos raised."
DEFERRED_LEFT = "Open again: the fault is deferred; two people have still to judge what the photos raised."
"""These stand on an undecided answer that nobody gave or signs: it only takes back the one before."""


@dataclass(frozen=True)
class Line:
    """One item of a batch as it is shown and signed; `id` is the answer's or the look's."""

    id: str
    item_id: str
    leg: str
    title: str
    finding: Finding
    text: str
    reading: dict[str, Any] | None


@dataclass(frozen=True)
class Batch:
    """What a person is about to sign, item by item; `record_hash` binds the signature to it."""

    lines: tuple[Line, ...]
    record: dict[str, Any]
    record_hash: str


def measured_with(r: Reader) -> tuple[dict[str, Instrument], dict[str, Chart]]:
    """Return all instruments and charts by id."""
    return {one.id: one for one in r.all(Instrument)}, {one.id: one for one in r.all(Chart)}


def current_answer(r: Reader, item_id: str) -> Answer | None:
    """Return the answer that an item stands on, or None: not superseded, not sent back, not undecided."""
    answers = r.all(Answer, item_id=item_id)
    superseded = {one.supersedes for one in answers}
    last = newest(tuple(one for one in answers if one.id not in superseded))
    if last is None or last.finding is Finding.UNDECIDED:
        return None
    looks = r.all(Look, answer_id=last.id)
    return None if any(one.outcome is LookOutcome.ANEW for one in looks) else last


def only_takes_back(one: Answer) -> bool:
    """Return whether an answer is none that a person gave: it takes back the one which it supersedes."""
    return one.finding is Finding.UNDECIDED and one.text in (TAKEN_BACK, FLAGS_LEFT, DEFERRED_LEFT)


def is_signed(one: Answer) -> bool:
    """Return whether an answer carries every signature that it needs."""
    return one.signature_id is not None and (
        one.supervisor_id is None or one.supervisor_signature_id is not None
    )


def batch_of(r: Reader, person: Person, inspection_id: str, answers: Some[Any]) -> Batch:
    """Return answers or looks as what is shown and signed, item by item."""
    programme = require_programme(r, inspection_id)
    lines = []
    for one in answers:
        item = r.get(Item, one.item_id if isinstance(one, Answer) else r.get(Answer, one.answer_id).item_id)
        lines.append(
            Line(
                one.id,
                item.id,
                leg_of(r, item).position,
                title_of(r, programme, item),
                one.finding,
                one.text,
                one.reading,
            )
        )
    record = {
        "what": "batch of answers",
        "inspection": inspection_id,
        "programme": programme.version,
        "person": {"id": person.id, "name": person.name},
        "items": [plain(one) for one in lines],
    }
    return Batch(tuple(lines), record, sha256(canonical(record)))
