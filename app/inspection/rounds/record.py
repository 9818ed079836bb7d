"""Everything that the record of a visit must hold, as plain JSON values, from one look at the records.

It is a *work record*: what was inspected, by whom, from where, what was found and
done.  The statement of 14 CFR 43.9 and 43.11 and the entry in the log are the
authorised signer's; `not_said` says so, and the record never calls an aircraft fit
to fly.  The keys here are stored for years: add, never rename.
"""

from collections.abc import Mapping
from typing import Any

from app.inspection.base import tries_of
from app.inspection.canonical import plain, sha256
from app.inspection.model import (
    Aircraft,
    Confirmation,
    DiscrepancyState,
    Item,
    ItemState,
    LegEntry,
    Person,
    Try,
)
from app.inspection.ports import Reader, Signatories
from app.inspection.rounds.amending import corrected_times, withdrawals_of
from app.inspection.rounds.cases import Case, cases_of, steps_of
from app.inspection.rounds.commissioning import leg_as_of
from app.inspection.rounds.common import (
    base_key,
    certificate_of,
    is_photo_item,
    leg_in,
    leg_of,
    programme_in,
    programme_item,
    round_of,
    title_of,
)
from app.inspection.rounds.correcting import told_of
from app.inspection.rounds.model import (
    Answer,
    Evidence,
    Handover,
    Look,
    Opened,
    Out,
    ProgrammeEntry,
    Sequence,
    SequenceKind,
    Signature,
    SignOff,
    Stated,
    Withdrawal,
)
from app.inspection.rounds.record_sight import WITHHELD, RecordSight
from app.programme import Programme

NOT_SAID = (
    "This is a record of the work. It does not return the aircraft to service: the statement of "
    "14 CFR 43.9 or 43.11 and the entry in the log are made by the authorised signer."
)


def record_of(r: Reader, people: Signatories, sight: RecordSight) -> dict[str, Any]:
    """Return the record of a visit that follows a programme, as its reader may see it.

    The order is that of the walk-round.  Everything that was entered is in it, also
    what was corrected, sent back or superseded; only of an open visit `sight` withholds, by
    name, what the reader may yet have to find himself.
    """
    inspection = sight.visit
    inspection_id = inspection.id
    aircraft = r.get(Aircraft, inspection.aircraft_id)
    followed = round_of(r, inspection_id)
    entry = None if followed is None else r.get(ProgrammeEntry, followed.programme_id)
    programme = None if entry is None else programme_in(entry.toml)
    cases = cases_of(r, inspection)
    signatures = sorted(r.all(Signature, inspection_id=inspection_id), key=lambda one: (one.at, one.id))
    signed_off = next(iter(r.all(SignOff, inspection_id=inspection_id)), None)
    record: dict[str, Any] = {
        "kind": "gearwitness work record",
        "not_said": NOT_SAID,
        "inspection": {"id": inspection.id, "opened_at": plain(inspection.opened_at)},
        "aircraft": plain(aircraft),
        "programme": _programme(entry, programme),
        "features": {} if followed is None else plain(followed.features),
        "legs": [_leg(r, programme, sight, leg) for leg in _legs(r, aircraft)],
        "statements": [plain(one) for one in _by_time(r.all(Stated, inspection_id=inspection_id))],
        "discrepancies": [_case(one) for one in cases],
        "owner_list": [
            {"leg": one.place.leg.position, "text": one.discrepancy.text, "deferral": plain(one.deferral)}
            for one in cases
            if one.discrepancy.state is not DiscrepancyState.CLEARED
        ],
        "servicing": _servicing(r, inspection_id),
        "evidence": [
            plain(one)
            for item in r.all(Item, inspection_id=inspection_id)
            for one in r.all(Evidence, item_id=item.id)
        ],
        "opened": [plain(one) for one in _by_time(r.all(Opened, inspection_id=inspection_id))],
        "out": [plain(one) for one in _by_time(r.all(Out, inspection_id=inspection_id))],
        "handovers": [
            plain(one)
            for one in sorted(r.all(Handover, inspection_id=inspection_id), key=lambda one: one.given_at)
        ],
        "signatures": [plain(one) for one in signatures],
    }
    corrected = told_of(r, inspection_id)
    if corrected:
        record["corrections"] = corrected
    times = corrected_times(r, inspection_id)
    if times:
        record["corrected_times"] = [plain(one) for one in times]
    withdrawn = withdrawals_of(r, inspection_id)
    if withdrawn:
        record["withdrawals"] = [_withdrawn(r, programme, one) for one in withdrawn]
    record["people"] = _people(r, people, record)
    if signed_off is not None:
        record["sign_off"] = plain(signed_off)
    return record


def _by_time(rows: tuple[Any, ...]) -> list[Any]:
    return sorted(rows, key=lambda one: (one.at, one.id))


def _legs(r: Reader, aircraft: Aircraft) -> list[LegEntry]:
    return sorted(r.all(LegEntry, aircraft_id=aircraft.id), key=lambda one: one.position)


def _programme(entry: ProgrammeEntry | None, programme: Programme | None) -> dict[str, Any] | None:
    if entry is None or programme is None:
        return None
    return {
        "name": entry.name,
        "revision": entry.revision,
        "version": entry.version,
        "document": programme.document,
        "excluded": [{"title": one.title, "reason": one.reason} for one in programme.excluded],
    }


def _leg(r: Reader, programme: Programme | None, sight: RecordSight, leg: LegEntry) -> dict[str, Any]:
    inspection = sight.visit
    leg = leg_as_of(r, leg, inspection.closed_at)
    items = [one for one in r.all(Item, inspection_id=inspection.id, leg_id=leg.id)]
    order = {} if programme is None else {one.key: number for number, one in enumerate(programme.items)}
    items.sort(key=lambda one: (order.get(base_key(one.key), len(order)), one.key))
    return {
        "id": leg.id,
        "position": leg.position,
        "basis": leg.basis.value,
        "document": leg_in(leg.toml, leg.position).document,
        "toml_sha256": sha256(leg.toml.encode()),
        "items": [_item(r, programme, sight, one) for one in items],
    }


def _item(r: Reader, programme: Programme | None, sight: RecordSight, item: Item) -> dict[str, Any]:
    told: dict[str, Any] = {"id": item.id, "key": item.key, "state": item.state.value, "title": item.key}
    if programme is not None:
        wanted = programme_item(r, programme, item)
        told |= {
            "title": title_of(r, programme, item),
            "condition": wanted.condition.value,
            "method": wanted.method.value,
            "limit": wanted.limit.value,
            "seen_by": wanted.seen_by.value,
            "sources": list(wanted.sources),
        }
    if item.state is ItemState.TO_DO:
        told["not_inspected"] = True
    if is_photo_item(item):
        return told | _photos(r, sight, item)
    answers = _by_time(r.all(Answer, item_id=item.id))
    looks = {
        one.id: [look for look in _by_time(r.all(Look, answer_id=one.id)) if look.signature_id]
        for one in answers
    }
    told["answers"] = [sight.answer(item, one) for one in answers]
    told["looks"] = [plain(look) for one in answers for look in looks[one.id]]
    tries = tries_of(r, item.id)
    return told | ({"tries": _tries(r, sight, item, tries)} if tries else {})


def _photos(r: Reader, sight: RecordSight, item: Item) -> dict[str, Any]:
    tries = tries_of(r, item.id)
    return {
        "photo_tries": len(tries),
        "tries": _tries(r, sight, item, tries),
        "hand_readings": [plain(one) for one in _by_time(sight.hands(item, tries))],
    }


def _tries(r: Reader, sight: RecordSight, item: Item, tries: tuple[Try, ...]) -> list[dict[str, Any]]:
    return [
        {
            **{name: value for name, value in plain(sight.photo(item, one)).items() if name != "stage"},
            "confirmations": [plain(each) for each in r.all(Confirmation, try_id=one.id)],
            "blind_readings": [plain(each) for each in _by_time(sight.placed(one))],
            **({"withheld": WITHHELD} if sight.hides(item, one) and one.result is not None else {}),
        }
        for one in tries
    ]


def _withdrawn(r: Reader, programme: Programme | None, one: Withdrawal) -> dict[str, Any]:
    item = r.get(Item, one.item_id)
    title = item.key if programme is None else title_of(r, programme, item)
    return {**plain(one), "leg": leg_of(r, item).position, "title": title}


def _case(one: Case) -> dict[str, Any]:
    return {
        "leg": one.place.leg.position,
        "carried": one.carried,
        "discrepancy": plain(one.discrepancy),
        "actions": [plain(each) for each in one.actions],
        "deferral": plain(one.deferral),
        "sequence": plain(one.sequence),
        "steps": [plain(each) for each in one.steps],
    }


def _servicing(r: Reader, inspection_id: str) -> list[dict[str, Any]]:
    found = r.all(Sequence, inspection_id=inspection_id, kind=SequenceKind.SERVICING)
    return [
        {"sequence": plain(one), "steps": [plain(each) for each in steps_of(r, one)]}
        for one in _by_time(found)
    ]


_NAMES_A_PERSON = (
    "person_id", "by", "performer_id", "confirmer_id", "supervisor_id", "closed_by", "back_by", "opened_by",
    "giver_id", "taker_id", "authoriser_id", "asked_by",
)  # fmt: skip


def _people(r: Reader, people: Signatories, record: Mapping[str, Any]) -> dict[str, Any]:
    """Return name, roles and certificate by id of everybody whom the record names."""
    found: dict[str, Any] = {}
    for id_ in sorted(_named(record)):
        person: Person = people.find(id_)
        found[id_] = {
            "name": person.name,
            "roles": plain(person.roles),
            "certificate": certificate_of(r, id_),
        }
    return found


def _named(value: Any) -> set[str]:
    if isinstance(value, Mapping):
        mine = {value[name] for name in _NAMES_A_PERSON if isinstance(value.get(name), str)}
        return mine.union(*map(_named, value.values()))
    if isinstance(value, list):
        return set().union(*map(_named, value)) if value else set()
    return set()
