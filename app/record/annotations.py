"""What was read on the photos, as W3C Web Annotations (Web Annotation Data Model, 23 February 2017).

Each reading and each placing of a person is an annotation whose target is the
photo's file with an `SvgSelector` (section 4.2.8 of the model), the card and a
discrepancy's photo one with a `FragmentSelector` (4.2.1; Media Fragments URI 1.0).
Both count from the upper left *corner* of the upright photo's first pixel, while
this project's coordinates have that pixel's centre at (0, 0): half a pixel is added.
"""

from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID, uuid5

from app.inspection.exchange import Bundle
from app.record import search_words
from app.record.entries import FileEntry
from app.record.words import doubt, lengths

CONTEXT = "http://www.w3.org/ns/anno.jsonld"
MEDIA_FRAGMENTS = "http://www.w3.org/TR/media-frags/"
_SVG = "http://www.w3.org/2000/svg"
_OURS = UUID("6a6f6e6e-6572-4765-8172-776974313031")
"""The name space of annotations that have no id of their own in the record."""


def annotations(bundle: Bundle, files: Mapping[str, FileEntry]) -> dict[str, Any]:
    """Return the annotation page of an inspection; `files` by SHA-256, those without a path are left out."""
    rows = bundle.rows
    items = [
        one
        for (entry, id_), row in rows.items()
        if entry == "tries" and (path := _path(row, files)) is not None
        for one in _of_try(id_, row, path, rows)
    ]
    return {
        "@context": CONTEXT,
        "id": f"urn:uuid:{uuid5(_OURS, bundle.inspection_id)}",
        "type": "AnnotationPage",
        "startIndex": 0,
        "items": items,
    }


def _path(row: Mapping[str, Any], files: Mapping[str, FileEntry]) -> str | None:
    file = files.get(row.get("photo") or "")
    return None if file is None else file.path


def _of_try(
    id_: str, row: Mapping[str, Any], path: str, rows: Mapping[tuple[str, str], Mapping[str, Any]]
) -> Iterator[dict[str, Any]]:
    result = row.get("result")
    if result is not None:
        yield _annotation(
            uuid5(_OURS, f"{id_} result"),
            row.get("sent_at") or row["begun_at"],
            {"type": "Software", "name": "Gearwitness"},
            _machine_says(result),
            _machine_target(result, path),
        )
        card = result.get("evidence", {}).get("card_px")
        if _points(card):
            yield _annotation(
                uuid5(_OURS, f"{id_} card"),
                row.get("sent_at") or row["begun_at"],
                {"type": "Software", "name": "Gearwitness"},
                "The scale card",
                {"source": path, "selector": _box(card)},
            )
    for (entry, blind_id), blind in rows.items():
        if entry == "blind_readings" and blind["try_id"] == id_:
            who = rows.get(("persons", blind["person_id"]), {}).get("name", blind["person_id"])
            value = doubt(blind["value_mm"], blind["expanded_u_mm"], "mm")
            yield _annotation(
                UUID(blind_id),
                blind["at"],
                {"type": "Person", "name": who},
                f"Placed on the bare photo by {who}: {value}",
                {"source": path, "selector": _line(blind["from_px"], blind["to_px"])},
            )
    for (entry, found_id), found in rows.items():
        if entry == "discrepancies" and found.get("try_id") == id_:
            who = rows.get(("persons", found["opened_by"]), {}).get("name", found["opened_by"])
            yield _annotation(
                UUID(found_id),
                found["opened_at"],
                {"type": "Person", "name": who},
                f"Discrepancy at {found['place']}: {found['text']}",
                path,
                "assessing",
            )


def _annotation(
    id_: UUID, at: str, who: Mapping[str, str], says: str, target: Any, motive: str = "describing"
) -> dict[str, Any]:
    return {
        "@context": CONTEXT,
        "id": f"urn:uuid:{id_}",
        "type": "Annotation",
        "motivation": motive,
        # The model wants a time without fractions that ends in Z (section 3.3.6: xsd:dateTime in UTC).
        "created": f"{at[:19]}Z",
        "creator": dict(who),
        "body": {"type": "TextualBody", "value": says, "format": "text/plain", "language": "en"},
        "target": target,
    }


def _machine_says(result: Mapping[str, Any]) -> str:
    if result["status"] == "refused":
        return f"No value. {result['reason']} {result['advice']}"
    if search_words.is_searched(result):
        return " ".join(search_words.lines(result))
    verdict = f", {result['verdict']}" if result["verdict"] else ""
    return f"{result['name'].replace('_', ' ')}: {lengths(result)}{verdict}"


def _machine_target(result: Mapping[str, Any], path: str) -> Any:
    evidence = result.get("evidence", {})
    start, end = evidence.get("from_px"), evidence.get("to_px")
    if _point(start) and _point(end):
        return {"source": path, "selector": _line(start, end)}
    return path


def _line(start: Any, end: Any) -> dict[str, str]:
    (x1, y1), (x2, y2) = ((float(x) + 0.5, float(y) + 0.5) for x, y in (start, end))
    line = f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}"/>'
    return {"type": "SvgSelector", "value": f'<svg xmlns="{_SVG}">{line}</svg>'}


def _box(points: Any) -> dict[str, str]:
    xs = [float(x) + 0.5 for x, _ in points]
    ys = [float(y) + 0.5 for _, y in points]
    x, y = max(0, int(min(xs))), max(0, int(min(ys)))
    wide, high = round(max(xs) - x + 0.5), round(max(ys) - y + 0.5)
    return {
        "type": "FragmentSelector",
        "conformsTo": MEDIA_FRAGMENTS,
        "value": f"xywh=pixel:{x},{y},{wide},{high}",
    }


def _point(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(isinstance(one, int | float) for one in value)


def _points(value: Any) -> bool:
    return isinstance(value, list) and len(value) >= 3 and all(map(_point, value))
