"""One try at a photo on the exported page: picture, values side by side, who signed."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from app.inspection.rounds.hose_pair_rules import SECOND_OF, SLIDES
from app.inspection.rounds.tire_camera import CAMERA, camera_words
from app.record import search_words
from app.record.entries import FileEntry, FileState
from app.record.page_parts import Html, facts, image, joined, tag
from app.record.tire_words import lines
from app.record.words import OUTCOMES, SIGNS, TRY_STATES, VERDICTS, doubt, lengths, limits, when, words

_SHOWN_BY_BROWSERS = ("image/jpeg", "image/png")
_OPTIONS = {
    "check_bar_mm": "Check bars measured, mm",
    "stand_off_mm": "Card's stand-off, mm",
    "stand_off_u_mm": "its standard uncertainty, mm",
    "pressure_kpa": "Pressure, kPa",
    "pressure_u_kpa": "its standard uncertainty, kPa",
    "what": "Photo of",
    "asked": "Asked",
    "own": "By eye at the wheel",
    "seen_from": "Photographed from",
    "taps": "Hoses shown on it",
    "region": "Region shown on it",
    SECOND_OF: "Held against the photo of try",
    CAMERA: "Calibrated camera",
}
Rows = Mapping[tuple[str, str], Any]


def try_section(
    number: int, id_: str, row: Mapping[str, Any], rows: Rows, files: Mapping[str, FileEntry]
) -> Html:
    """Return a try's section."""
    result = row.get("result")
    withdrawn = [
        one["reason"]
        for (kind, _), one in rows.items()
        if kind == "withdrawals" and one["item_id"] == row["item_id"]
    ]
    return tag(
        "section",
        tag("h4", f"Photo {number}, {when(row['begun_at'])}"),
        *(tag("p", f"Withdrawn after sign-off: {one}") for one in withdrawn),
        *([] if result is None else _result(result)),
        *([] if row.get("failure") is None else [tag("p", row["failure"])]),
        facts(_facts(id_, row, rows)),
        *_picture(row, files),
        class_="try superseded" if withdrawn else "try",
    )


def _result(result: Mapping[str, Any]) -> Iterator[Html]:
    told = [*lines(result), *search_words.lines(result)]
    if told:
        yield tag("ul", *(tag("li", one) for one in told))
    if result["status"] == "refused":
        yield tag("p", f"{SIGNS['refused']} No value", class_="value")
        yield tag("p", f"{result['reason']} {result['advice']}")
    elif not search_words.is_searched(result):
        yield tag("p", lengths(result), class_="value")
        verdict = result.get("verdict")
        if verdict:
            yield tag("p", f"{SIGNS[verdict]} {words(VERDICTS, verdict)}: {limits(result)}", class_="verdict")
    notes = [note["text"] for note in result.get("notes", ())]
    if notes:
        yield tag("ul", *(tag("li", note) for note in notes))


def _facts(id_: str, row: Mapping[str, Any], rows: Rows) -> Iterator[tuple[str, Any]]:
    yield "State", words(TRY_STATES, row["state"])
    yield "Photographed by", _name(rows, row["performer_id"])
    yield "Stated", joined(row.get("statements", ()), " ")
    for key, value in row.get("options", {}).items():
        yield _OPTIONS.get(key, key), _IN_WORDS[key](value) if key in _IN_WORDS else value
    if row.get("own_hand_mm") is not None:
        yield "Own rule reading, before the photo's", doubt(row["own_hand_mm"], row["own_hand_u_mm"], "mm")
    for (entry, _), placed in rows.items():
        if entry == "blind_readings" and placed["try_id"] == id_:
            value = doubt(placed["value_mm"], placed["expanded_u_mm"], "mm")
            yield f"Placed by {_name(rows, placed['person_id'])}", f"{value}, {when(placed['at'])}"
    yield from _judged(id_, rows)
    for (entry, _), signed in rows.items():
        if entry == "confirmations" and signed["try_id"] == id_:
            apart = f"{signed['difference_mm']:+.2f} mm apart, {signed['combined_u_mm']:.2f} mm allowed"
            agrees = "they agree" if signed["agrees"] else "they do not agree"
            yield "Both readings", f"{apart}: {agrees}"
            yield "Signed by", f"{_name(rows, signed['confirmer_id'])}, {when(signed['signed_at'])}"
            yield "What follows", words(OUTCOMES, signed["outcome"])
            yield "Record signed", tag("code", signed["signed_hash"])


def taps_words(taps: Sequence[Mapping[str, Any]]) -> str:
    """Return which hoses a person showed on a photo, in words."""
    told = (f"{search_words.hose(one['name'])}, {len(one['points'])} points along it" for one in taps)
    return "; ".join(told)


def region_words(corners: Sequence[Sequence[float]]) -> str:
    """Return which region of a surface a person showed on a photo, in words."""
    at = "; ".join(f"{x:.0f}, {y:.0f}" for x, y in corners)
    return f"corners at {at} px"


_IN_WORDS: Mapping[str, Callable[[Any], str]] = {
    "taps": taps_words,
    "region": region_words,
    CAMERA: camera_words,
}


def _judged(id_: str, rows: Rows) -> Iterator[tuple[str, Any]]:
    """What people marked on the bare photo, and what each of them took each place for."""
    for what, of in (("bare_markings", _marked), ("judgings", _said_of)):
        found = (row for (entry, _), row in rows.items() if entry == what and row["try_id"] == id_)
        for row in sorted(found, key=lambda one: str(one["at"])):
            yield of(rows, row)


def _marked(rows: Rows, row: Mapping[str, Any]) -> tuple[str, str]:
    at = [f"{one['x']:.0f}, {one['y']:.0f} px {one['text']}".strip() for one in row["marks"]]
    seen = "; ".join(at) if at else "states that he sees none on it"
    return f"On the bare photo, {_name(rows, row['person_id'])}", f"{seen}, {when(row['at'])}"


def _said_of(rows: Rows, row: Mapping[str, Any]) -> tuple[str, str]:
    text = f" ({row['text']})" if row["text"] else ""
    # A mark is named by the marking that it belongs to, which tells a reader nothing.
    kind, _, rest = str(row["place"]).partition("-")
    what = "Flag set aside as moved," if kind == SLIDES else kind.capitalize()
    place = f"{what} {rest.rpartition('-')[2] or rest}"
    said = f"{words(search_words.JUDGED, row['judged'])}{text}, {when(row['at'])}"
    return f"{place}, {_name(rows, row['person_id'])}", said


def _picture(row: Mapping[str, Any], files: Mapping[str, FileEntry]) -> Iterator[Html]:
    original, drawn = (files.get(row.get(field) or "") for field in ("photo", "annotated"))
    if original is None:
        return
    shown = next(
        (
            one
            for one in (drawn, original)
            if one is not None and one.path is not None and one.type in _SHOWN_BY_BROWSERS
        ),
        None,
    )
    caption = joined((_said(row["photo"], original), *([] if drawn is None else [_drawn(drawn)])), " ")
    inside = [] if shown is None or shown.path is None else [image(shown.path, _alt(row, shown is drawn))]
    if inside and shown is not None and shown.path is not None:
        inside = [tag("a", *inside, href=shown.path)]
    yield tag("figure", *inside, tag("figcaption", caption))


def _said(sha: str, file: FileEntry) -> Html:
    name = joined(("The original, SHA-256 ", tag("code", sha)))
    if file.state is FileState.HERE and file.path is not None:
        return joined(
            (tag("a", "The original", href=file.path), ", byte for byte, SHA-256 ", tag("code", sha), ".")
        )
    if file.state is FileState.COPY and file.path is not None:
        copy = tag("a", "a copy", href=file.path)
        return joined((name, ", is not in this export; this is ", copy, f" ({file.removed} removed)."))
    why = (
        "was deleted by a recorded act" if file.state is FileState.DELETED else "was left out of this export"
    )
    return joined((name, f", {why}."))


def _drawn(file: FileEntry) -> Html:
    if file.path is not None:
        return joined((tag("a", "The annotated copy", href=file.path), " shows where it was read."))
    gone = "was deleted with it" if file.state is FileState.DELETED else f"was left out ({file.removed})"
    return joined((f"The annotated copy {gone}.",))


def _alt(row: Mapping[str, Any], is_drawn: bool) -> str:
    result = row.get("result")
    if not is_drawn or result is None:
        return "The photo"
    if search_words.is_searched(result):
        return f"The photo with its flags drawn on it: {search_words.short(result)}"
    said = "no value" if result["status"] == "refused" else lengths(result)
    return f"The photo with what was read drawn on it: {said}"


def _name(rows: Rows, person_id: str) -> str:
    return str(rows.get(("persons", person_id), {}).get("name", person_id[:8]))
