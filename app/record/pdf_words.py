"""What the work record says of answers, looks, tries and cases, in words."""

from collections.abc import Mapping
from typing import Any

from app.record import search_words
from app.record.words import (
    OUTCOMES,
    TRY_STATES,
    VERDICTS,
    counted,
    doubt,
    lengths,
    limits,
    tire_state,
    when,
    words,
)

Record = Mapping[str, Any]
FINDINGS = {
    "good": "Good", "fault": "Fault", "undecided": "Cannot tell", "not_fitted": "Not fitted", "withheld": "",
}  # fmt: skip
METHODS = {
    "photo_measurement": "photo, measured", "photo_search": "photo, searched", "gauge_reading": "gauge",
    "count": "count", "hand_and_eye": "hand and eye",
}  # fmt: skip
ACTIONS = {
    "adjusted": "Adjusted", "serviced": "Serviced", "repaired": "Repaired", "replaced": "Part replaced",
    "ndi_cleared": "Non-destructive inspection found nothing", "entered_in_error": "Entered in error",
}  # fmt: skip
FROM = {"aircraft": "at the aircraft", "photo": "from the photo"}
MEANINGS = {
    "performed": "did the work", "supervised": "supervised", "second_look": "looked a second time",
    "action": "put it right", "deferral": "authorised the deferral", "handed_over": "handed over",
    "taken_over": "took over", "ndi_result": "result of the non-destructive inspection",
    "sign_off": "signed off", "corrected": "corrected after sign-off",
    "times_corrected": "put the times right after sign-off", "withdrawn": "withdrew a reading after sign-off",
}  # fmt: skip

CORRECTIONS = {
    "waits": "Waits for its second look", "confirmed": "Seen by a second person",
    "discrepancy": "A discrepancy stands for it", "superseded": "Corrected again",
}  # fmt: skip


def corrected_words(number: int) -> str:
    """Return how many entries were corrected after the sign-off, as a sentence."""
    told = "1 entry was" if number == 1 else f"{number} entries were"
    return f"{told} corrected after sign-off: the earlier ones stand struck through below."


def times_words(told: Mapping[str, Any]) -> str:
    """Return an aircraft's times as one line."""
    return f"{told['total_time_h']:g} h, {told['cycles']}, {told['landings']}"


class People:
    """Names by id, as the record gives them."""

    def __init__(self, record: Record) -> None:
        self._people = record["people"]

    def name(self, id_: str | None) -> str:
        """Return a person's name; a dash where there is nobody."""
        return "–" if not id_ else str(self._people.get(id_, {}).get("name", id_[:8]))

    def did(self, id_: str | None, at: str | None, how: str = "") -> str:
        """Return who, how and when."""
        return ", ".join(part for part in (self.name(id_), how, when(at)) if part)


def found(entry: Mapping[str, Any]) -> str:
    """Return what an answer or a look found: the finding, its reading, its words."""
    judged = list(search_words.judgements(entry.get("reading")))
    if judged:  # its words say what was found on what: a bare "good" would say more
        return "\n".join((entry.get("text") or words(FINDINGS, entry["finding"]), *judged))
    parts = [words(FINDINGS, entry["finding"]), reading(entry.get("reading")), entry.get("text") or ""]
    return ". ".join(part for part in parts if part)


def reading(told: Mapping[str, Any] | None) -> str:
    """Return a reading or a count as it was taken, with its doubt, its limits and what it was read with."""
    if not told:
        return ""
    parts = [counted(told)]
    if "value" in told:
        parts.append(doubt(told["value"], told["expanded_u"], told["unit"]))
        parts.append(_as_read(told))
        parts.append(tire_state(told))
        ends = {"lower": told["lower"], "upper": told["upper"]}
        parts.append(f"limits {limits({'limits': ends, 'unit': told['unit']})}")
    if told.get("verdict"):
        parts.append(verdict(told["verdict"]))
    instrument = told.get("instrument")
    if instrument:
        parts.append(f"{instrument['kind']} {instrument['number']}, due {instrument['due']}")
    if told.get("document") and "worst_inch" not in told:
        parts.append(str(told["document"]))
    return "; ".join(part for part in parts if part)


def _as_read(told: Mapping[str, Any]) -> str:
    """Return what the gauge showed, or that it was read or placed on a photo."""
    shown = told.get("as_read")
    if shown:
        return "read " + ", ".join(f"{one:g}" for one in shown["values"]) + f" {shown['unit']}"
    if "placed_px" in told:
        return "placed on the bare photo"
    level = told.get("level_from")
    return f"read on its photo{f', level told by {level}' if level else ''}"


def verdict(name: str) -> str:
    """Return a verdict in words."""
    return words(VERDICTS, name).lower()


def tried(people: People, one: Mapping[str, Any]) -> str:
    """Return what one try at a photo gave, and what the second person made of it."""
    parts = [result(one.get("result")) or one.get("withheld") or words(TRY_STATES, one["state"])]
    parts += [
        f"{people.name(blind['person_id'])} read {doubt(blind['value_mm'], blind['expanded_u_mm'], 'mm')} "
        "on the bare photo"
        for blind in one["blind_readings"]
    ]
    parts += [words(OUTCOMES, each["outcome"]).rstrip(".") for each in one["confirmations"]]
    return ". ".join(parts)


def result(told: Mapping[str, Any] | None) -> str:
    """Return a photo's reading with U, limits and verdict, or why there is none."""
    if not told:
        return ""
    if search_words.is_searched(told):
        return search_words.short(told).capitalize()
    if told["status"] != "reading":
        return f"No value: {told.get('reason') or told.get('cause') or 'refused'}"
    said = verdict(told["verdict"]) if told.get("verdict") else "no verdict"
    return f"{lengths(told)}; limits {limits(told)}; {said}"


def by_hand(people: People, one: Mapping[str, Any]) -> str:
    """Return a measurement by hand."""
    return (
        f"{doubt(one['value_mm'], one['expanded_u_mm'], 'mm')} by {people.name(one['person_id'])} "
        f"with {one['instrument']}, {when(one['at'])}"
    )


def part_of(told: Mapping[str, str]) -> str:
    """Return a part that was removed or fitted, with its papers."""
    return ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in told.items() if value)


def deferred(people: People, told: Mapping[str, Any] | None) -> str:
    """Return what a deferral stands on and until when."""
    if not told:
        return ""
    due = [str(told["due_on"])] if told.get("due_on") else []
    due += [f"{told['due_landings']} landings"] if told.get("due_landings") else []
    return (
        f"Deferred by {told['reference']}, category {told['category']}, due {' or '.join(due)}; placard: "
        f"{told['placard']}; authorised by {people.did(told['authoriser_id'], told['at'])}"
    )
