"""The work record's pages of legs: each item in walk-round order, then the annotated photos."""

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from app.record import search_words
from app.record.pdf_sheet import Sheet
from app.record.pdf_words import FROM, METHODS, People, Record, by_hand, found, result, tried
from app.record.tire_words import lines
from app.record.words import ITEM_STATES, when, words

_HEADS = ("Item", "How", "What was found", "By whom", "Seen a second time")
_WIDTHS = (22, 11, 33, 16, 18)
_CONDITIONS = {"on_wheels": "on its wheels", "swing": "gear swing"}

Row = tuple[tuple[str, ...], bool]


def add_legs(sheet: Sheet, record: Record, pictures: Mapping[str, bytes]) -> None:
    """Add a chapter for each leg.

    Parameters
    ----------
    pictures : mapping of str to JPEG bytes
        Annotated copies by SHA-256, small ones.
    """
    people = People(record)
    for leg in record["legs"]:
        sheet.heading(f"{leg['position'].capitalize()} leg", room=50)
        basis = (
            "stand by themselves"
            if leg["basis"] == "primary"
            else "are supporting: a hand measurement stands beside them"
        )
        sheet.says(f"Leg data: {leg['document']}. Photo readings of this leg {basis}.")
        late = {one["answer_id"] for one in record.get("corrections", ())}
        late |= {one["item_id"] for one in record.get("withdrawals", ())}
        rows = [row for item in leg["items"] for row in _rows(people, item, late)]
        sheet.rows(_HEADS, [told for told, _ in rows], _WIDTHS, [struck for _, struck in rows])
        shown = list(_shown(leg, pictures))
        if shown:
            sheet.pictures(shown)


def _rows(people: People, item: Mapping[str, Any], late: Collection[str]) -> Iterator[Row]:
    """An item's rows in their order, what does not stand struck through.

    `late` names the answers that were given and the items whose reading was withdrawn
    after the sign-off.
    """
    how = words(METHODS, item.get("method", "")).lower()
    place = f"{item['title']}\n{words(_CONDITIONS, item.get('condition', '')).lower()}".rstrip()
    state = words(ITEM_STATES, item["state"])
    if "photo_tries" in item:
        gone = item["id"] in late
        for told in _photo_rows(people, item, place, how):
            yield told, gone
        alone = not item["tries"]
        yield (place if alone else "", how if alone else "", state, "", ""), False
        return
    answers = item["answers"]
    if not answers:
        yield (place, how, state, "", ""), False
        yield from _answer_photo_rows(people, item)
        return
    replaced = {one["supersedes"] for one in answers if one["supersedes"]}
    for number, one in enumerate(answers):
        looks = [each for each in item["looks"] if each["answer_id"] == one["id"]]
        who = people.did(one["person_id"], one["at"])
        if one["supervisor_id"]:
            who += f"; supervised by {people.name(one['supervisor_id'])}"
        corrects = "Corrected after sign-off" if one["id"] in late else "Corrects an earlier answer"
        said = found(one) + (f"\n{corrects}: {one['reason']}" if one["supersedes"] else "")
        gone = one["id"] in replaced
        said = f"(superseded) {said}" if gone else said
        seen = "\n".join(
            f"{found(each)}; {people.did(each['person_id'], each['at'], FROM.get(each['seen_from'], ''))}"
            for each in looks
        )
        last = number == len(answers) - 1 and item["state"] not in ("closed",)
        yield (
            (
                place if number == 0 else "",
                how if number == 0 else "",
                said + (f"\n{state}" if last else ""),
                who,
                seen,
            ),
            gone,
        )
    yield from _answer_photo_rows(people, item)


def _answer_photo_rows(people: People, item: Mapping[str, Any]) -> Iterator[Row]:
    """Every photo of a tire, of hoses or of a surface, also those that nothing was answered with."""
    tries = item.get("tries", ())
    for number, one in enumerate(tries, 1):
        result_of = one.get("result")
        told = "\n".join((*lines(result_of), *search_words.lines(result_of))) or tried(people, one)
        stated = "\n".join(one.get("statements", ()))
        yield (
            "", "photo", f"Photo {number} of {len(tries)}: {told}\n{stated}".rstrip(),
            people.did(one["performer_id"], one["begun_at"]), "",
        ), False  # fmt: skip


def _photo_rows(people: People, item: Mapping[str, Any], place: str, how: str) -> Iterator[tuple[str, ...]]:
    tries = item["tries"]
    for number, one in enumerate(tries, 1):
        seen = "\n".join(
            people.did(each["confirmer_id"], each["signed_at"], "from the photo")
            for each in one["confirmations"]
        )
        said = f"Photo {number} of {len(tries)}: {tried(people, one)}"
        yield (
            place if number == 1 else "", how if number == 1 else "", said,
            people.did(one["performer_id"], one["begun_at"]), seen,
        )  # fmt: skip
    for one in item["hand_readings"]:
        yield ("", "rule", by_hand(people, one), people.name(one["person_id"]), "")


def _shown(leg: Mapping[str, Any], pictures: Mapping[str, bytes]) -> Iterator[tuple[bytes, str]]:
    for item in leg["items"]:
        for number, one in enumerate(item.get("tries", ()), 1):
            data = pictures.get(one.get("annotated") or "")
            if data:
                which = f"{item['title']}, photo {number} of {len(item['tries'])}, {when(one['begun_at'])}"
                yield data, f"{which}. {result(one.get('result')) or 'No value'}"
