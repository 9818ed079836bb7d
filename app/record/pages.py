"""The exported pages: one that lists the inspections, and one for each of them."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from app.inspection.exchange import Bundle
from app.record import search_words
from app.record.entries import FileEntry
from app.record.others import entries, item_title, item_titles
from app.record.page_parts import Html, facts, joined, page, table, tag
from app.record.try_part import try_section
from app.record.words import ITEM_STATES, SIGNS, VERDICTS, doubt, lengths, when, words

_SHOWN = {
    "aircraft", "bare_markings", "blind_readings", "confirmations", "discrepancies", "hand_readings",
    "inspections", "items", "judgings", "legs", "persons", "places_opened", "tries",
}  # fmt: skip
"""Kinds of entries that the page tells in its own words; all others are told field by field."""

_NEVER = "Gearwitness measures and records; whether an aircraft may fly is decided by a licensed person."


class Line(NamedTuple):
    """One inspection in the list."""

    folder: str
    registration: str
    kind: str
    opened: str
    closed: str | None
    items: int
    head: str


def index(lines: Sequence[Line], notes: Sequence[str]) -> bytes:
    """Return the page that lists the inspections."""
    rows = [
        (
            tag("a", line.registration, href=f"{line.folder}/index.html"),
            line.kind,
            when(line.opened),
            when(line.closed) if line.closed else "open",
            line.items,
            tag("code", line.head[:16]),
        )
        for line in lines
    ]
    return page(
        "Inspections",
        tag("h1", "Landing gear inspections"),
        tag("p", f"{_count(len(lines))}, exported from an archive of Gearwitness.", class_="soft"),
        *(tag("p", note, class_="notice") for note in notes),
        table(("Aircraft", "Type", "Opened", "Closed", "Items", "Head"), rows),
        tag("h2", "Is it whole?"),
        tag(
            "p",
            "Run ",
            tag("code", "python3 verify.py"),
            " in this folder. It needs nothing but Python and checks every file and every chain of events; "
            "it also checks the archive's signatures where the Python package cryptography is installed. "
            "With ",
            tag("code", "--anchor HASH"),
            " it looks for a head that you have from elsewhere, e.g. from a printed record.",
        ),
        tag("p", _NEVER, class_="soft"),
    )


def _count(number: int) -> str:
    return "1 inspection" if number == 1 else f"{number} inspections"


def line_of(bundle: Bundle, folder: str) -> Line:
    """Return an inspection's line in the list."""
    rows = bundle.rows
    inspection = rows["inspections", bundle.inspection_id]
    aircraft = rows.get(("aircraft", inspection["aircraft_id"]), {})
    return Line(
        folder,
        aircraft.get("registration", "?"),
        aircraft.get("kind", ""),
        inspection["opened_at"],
        inspection.get("closed_at"),
        sum(entry == "items" for entry, _ in rows),
        bundle.events[-1].hash,
    )


def inspection(bundle: Bundle, files: Mapping[str, FileEntry]) -> bytes:
    """Return the page of one inspection."""
    rows = bundle.rows
    line = line_of(bundle, "")
    this = rows["inspections", bundle.inspection_id]
    aircraft = rows.get(("aircraft", this["aircraft_id"]), {})
    items = _all(rows, "items")
    return page(
        f"{line.registration}, {when(line.opened)}",
        tag("p", tag("a", "All inspections", href="../../index.html")),
        tag("h1", f"{line.registration}: landing gear inspection"),
        facts(
            (
                ("Aircraft", f"{line.registration}, {line.kind}, {aircraft.get('operator', '')}"),
                ("Opened", f"{when(line.opened)} by {_name(rows, this['opened_by'])}"),
                ("Closed", when(line.closed) if line.closed else "open when it was exported"),
                ("Inspection", tag("code", bundle.inspection_id)),
                ("Head of its chain", tag("code", line.head)),
            )
        ),
        tag("p", _NEVER, class_="notice"),
        tag("h2", "Items"),
        table(("Leg", "Item", "State", "Photo reading", "Confirmed by"), _item_lines(rows, items)),
        *_legs_and_items(rows, items, files),
        *entries(rows, _others(rows, items), "h2"),
        tag("h2", "What happened"),
        table(("No.", "What", "When", "Who", "Hash"), _events(bundle)),
        tag(
            "p",
            "The same in files: ",
            joined(
                (
                    tag("a", name, href=name)
                    for name in ("record.json", "annotations.jsonld", "chain.jsonl", "archive.jsonl")
                ),
                ", ",
            ),
            ".",
        ),
    )


def _all(rows: Mapping[tuple[str, str], Any], entry: str, **equal: str) -> dict[str, Any]:
    return {
        id_: row
        for (kind, id_), row in rows.items()
        if kind == entry and all(row.get(name) == value for name, value in equal.items())
    }


def _name(rows: Mapping[tuple[str, str], Any], person_id: str | None) -> str:
    if person_id is None:
        return "the program"
    return str(rows.get(("persons", person_id), {}).get("name", person_id[:8]))


def _leg(rows: Mapping[tuple[str, str], Any], item: Mapping[str, Any]) -> Mapping[str, Any]:
    found: Mapping[str, Any] = rows.get(("legs", item.get("leg_id", "")), {})
    return found


def _item_lines(rows: Mapping[tuple[str, str], Any], items: Mapping[str, Any]) -> Iterator[Sequence[Any]]:
    titles = item_titles(rows)
    for id_, row in items.items():
        tries = sorted(_all(rows, "tries", item_id=id_).items(), key=lambda one: str(one[1]["begun_at"]))
        last = next((one for one in reversed(tries) if one[1].get("result")), None)
        signed = [
            _name(rows, found["confirmer_id"])
            for try_id, _ in tries
            for found in _all(rows, "confirmations", try_id=try_id).values()
        ]
        signed += [_name(rows, look.get("person_id")) for look in _all(rows, "looks", item_id=id_).values()]
        title = item_title(row["key"], titles)
        yield (
            _leg(rows, row).get("position", "–"),
            tag("a", title, href=f"#{id_}") if _is_told(rows, id_) else title,
            words(ITEM_STATES, row["state"]),
            "–" if last is None else _short(last[1]["result"]),
            ", ".join(signed) or "nobody",
        )


def _short(result: Mapping[str, Any]) -> str:
    if result["status"] == "refused":
        return f"{SIGNS['refused']} no value"
    if search_words.is_searched(result):
        return search_words.short(result)
    verdict = result.get("verdict")
    said = f", {words(VERDICTS, verdict).lower()}" if verdict else ""
    return f"{SIGNS.get(verdict or '', '')} {lengths(result)}{said}".strip()


def _legs_and_items(
    rows: Mapping[tuple[str, str], Any], items: Mapping[str, Any], files: Mapping[str, FileEntry]
) -> Iterator[Html]:
    """Each leg with its items, where there is more to tell of them than their state."""
    titles = item_titles(rows)
    by_leg: dict[str, list[str]] = {}
    for id_, row in items.items():
        by_leg.setdefault(row["leg_id"], []).append(id_)
    for leg_id, ids in by_leg.items():
        leg = rows.get(("legs", leg_id), {})
        yield tag("h2", f"Leg: {leg.get('position', leg_id[:8])}")
        for id_ in ids:
            if _is_told(rows, id_):
                yield _item(rows, id_, items[id_], files, item_title(items[id_]["key"], titles))
        if leg.get("toml"):
            yield tag("details", tag("summary", "The leg's data"), tag("pre", leg["toml"].strip()))


def _is_told(rows: Mapping[tuple[str, str], Any], item_id: str) -> bool:
    return any(row.get("item_id") == item_id for row in rows.values())


def _item(
    rows: Mapping[tuple[str, str], Any],
    id_: str,
    row: Mapping[str, Any],
    files: Mapping[str, FileEntry],
    title: str,
) -> Html:
    tries = sorted(_all(rows, "tries", item_id=id_).items(), key=lambda one: str(one[1]["begun_at"]))
    hands = sorted(_all(rows, "hand_readings", item_id=id_).values(), key=lambda one: str(one["at"]))
    wrong = sorted(_all(rows, "discrepancies", item_id=id_).values(), key=lambda one: str(one["opened_at"]))
    parts: list[Any] = [
        tag("h3", title, id=id_),
        tag("p", words(ITEM_STATES, row["state"])),
    ]
    parts += [try_section(number, try_id, one, rows, files) for number, (try_id, one) in enumerate(tries, 1)]
    parts += entries(rows, _of_item(rows, id_), "h4")
    if hands:
        told = (
            (doubt(one["value_mm"], one["expanded_u_mm"], "mm"), one["instrument"],
             _name(rows, one["person_id"]), when(one["at"]))
            for one in hands
        )  # fmt: skip
        parts += [tag("h4", "By hand"), table(("Value ± U", "With", "Who", "When"), told)]
    if wrong:
        said = (
            (one["place"], one["text"], words({}, one["state"]), _name(rows, one["opened_by"]),
             when(one["opened_at"]))
            for one in wrong
        )  # fmt: skip
        parts += [tag("h4", "Discrepancies"), table(("Place", "What", "State", "Who", "When"), said)]
    return joined(parts)


def _of_item(rows: Mapping[tuple[str, str], Any], item_id: str) -> dict[str, dict[str, Any]]:
    """Entries of an item that this page has no words for."""
    found: dict[str, dict[str, Any]] = {}
    for (entry, id_), row in rows.items():
        if entry not in _SHOWN and row.get("item_id") == item_id:
            found.setdefault(entry, {})[id_] = row
    return found


def _others(rows: Mapping[tuple[str, str], Any], items: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """Entries of the whole inspection that this page has no words for."""
    found: dict[str, dict[str, Any]] = {}
    for (entry, id_), row in rows.items():
        if entry not in _SHOWN and row.get("item_id") not in items:
            found.setdefault(entry, {})[id_] = row
    return found


def _events(bundle: Bundle) -> Iterator[Sequence[Any]]:
    rows = bundle.rows
    for link in bundle.events:
        told = link.told
        yield (
            link.number,
            words({}, told["kind"].replace("-", " ")),
            when(told["at"]),
            _name(rows, told["by"]),
            tag("code", link.hash[:16]),
        )
