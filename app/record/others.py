"""Entries that the pages have no layout of their own for: told field by field, so that nothing is left out.

Ids are told as what they stand for; those that only say where an entry belongs are
left to record.json.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from app.record.page_parts import Html, facts, joined, tag, text
from app.record.words import when, words

Rows = Mapping[tuple[str, str], Any]
_ID = re.compile(r"[0-9a-f]{32}")
_HASH = re.compile(r"[0-9a-f]{64}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}\+00:00")
_LONG = 400
_NAMES = {"at": "When", "by": "Who", "person_id": "Who", "toml": "As it was entered", "expanded_u": "U"}
_REINSPECTION = "reinspection_"


def item_titles(rows: Rows) -> dict[str, str]:
    """Return the titles of items by their keys, from the programme that the inspection followed."""
    titles: dict[str, str] = {}
    for (entry, _), row in rows.items():
        if entry == "programmes":
            try:
                items = tomllib.loads(row["toml"]).get("item", [])
                titles |= {str(one["key"]): str(one["title"]) for one in items}
            except (tomllib.TOMLDecodeError, KeyError, TypeError, AttributeError):
                continue
    return titles


def item_title(key: str, titles: Mapping[str, str]) -> str:
    """Return what an item is called."""
    if key.startswith(_REINSPECTION):
        return "Re-inspection after an action"
    base, _, wheel = key.partition("@")
    title = titles.get(base, words({}, base))
    return f"{title}, {wheel} wheel" if wheel else title


_LATE = ("corrected", "times_corrected", "withdrawn")


def entries(rows: Rows, kinds: Mapping[str, Mapping[str, Any]], heading: str) -> Iterator[Html]:
    """Return entries by kind; `kinds` holds them by kind and id, `heading` is the element of the names."""
    gone = {row.get("supersedes") for row in rows.values()}
    for kind in sorted(kinds):
        found = sorted(
            kinds[kind].items(), key=lambda one: str(one[1].get("at") or one[1].get("begun_at") or "")
        )
        told = [
            (
                "try superseded" if id_ in gone else "try",
                [
                    *_corrected(rows, row),
                    *((_name(field), said) for field, value in _ordered(row) if (said := _said(rows, value))),
                ],
            )
            for id_, row in found
        ]
        if any(one for _, one in told):
            yield tag(heading, words({}, kind))
            yield from (tag("section", facts(one), class_=kept) for kept, one in told if one)


def _corrected(rows: Rows, row: Mapping[str, Any]) -> list[tuple[str, Html]]:
    """Say of an entry that it was made after the sign-off; the signature under it tells."""
    signature = rows.get(("signatures", row.get("signature_id") or ""), {})
    return [("Corrected", text("after sign-off"))] if signature.get("meaning") in _LATE else []


def _ordered(row: Mapping[str, Any]) -> list[tuple[str, Any]]:
    """When and who come last, as everywhere on the page."""
    return sorted(row.items(), key=lambda one: (one[0] in ("person_id", "by"), one[0] == "at"))


def _name(field: str) -> str:
    return _NAMES.get(field, words({}, field.removesuffix("_id")))


def _said(rows: Rows, value: Any) -> Html | None:
    """Return a value for a person; None where there is nothing to say."""
    match value:
        case None | "" | []:
            said = None
        case bool():
            said = text("yes" if value else "no")
        case float():
            said = text(f"{value:.6g}")
        case str():
            said = _text(rows, value)
        case list():
            said = joined([part for one in value if (part := _said(rows, one))], ", ") or None
        case dict():
            named = [(key, part) for key, one in value.items() if (part := _said(rows, one))]
            said = joined((joined((words({}, key), ": ", part)) for key, part in named), "; ") or None
        case _:
            said = text(value)
    return said


def _text(rows: Rows, value: str) -> Html | None:
    if _ID.fullmatch(value):
        return _stands_for(rows, value)
    if _HASH.fullmatch(value):
        return tag("code", value[:16])
    if _TIME.fullmatch(value):
        return text(when(value))
    if len(value) > _LONG:
        return tag("details", tag("summary", "show"), tag("pre", value.strip()))
    return text(value)


def _stands_for(rows: Rows, id_: str) -> Html | None:
    for entry, names in (("persons", ("name",)), ("instruments", ("kind", "number")), ("items", ())):
        row = rows.get((entry, id_))
        if row is not None:
            return text(" ".join(str(row.get(name, "")) for name in names)) if names else None
    return None
