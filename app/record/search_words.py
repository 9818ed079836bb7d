"""What a search of hoses or of a surface gave and how people judged it, in words; from what is stored."""

from collections.abc import Iterator, Mapping
from typing import Any

from app.inspection.rounds.hose_pair_rules import HOSE_PAIR, SLIDES
from app.inspection.rounds.search_kinds import UNTOLD, kind_judged
from app.record.words import when, words

JUDGED = {
    "wear": "wear", "reflection": "a reflection", "dirt": "dirt", "fluid": "fluid",
    "cannot_tell": "cannot be told from the photo",
}  # fmt: skip
BY_HAND = {"good": "nothing to act on", "fault": "a fault"}
Told = Mapping[str, Any]


def is_searched(result: Told | None) -> bool:
    """Return whether a photo was searched, which gives places and no value."""
    return (result or {}).get("status") == "searched"


def short(result: Told) -> str:
    """Return how many places a search raised; of a second photo, how many of the first one's it did not find.

    Whether these were set aside hangs on what is judged already, and on the photo's time: the answer tells.
    """
    if result.get("name") == HOSE_PAIR:
        number = len(result[SLIDES])
        return f"held against another photo: {number} of its flags not in their place there"
    flags, aside = len(result["flags"]), len(result["set_aside"])
    more = f", {aside} set aside" if aside else ""
    return f"searched: {flags} {'flag' if flags == 1 else 'flags'}{more}"


def lines(result: Told | None) -> Iterator[str]:
    """Return what a search gave, a sentence to a hose or to the surface; nothing for another result."""
    if result is None or not is_searched(result):
        return
    if result.get("name") == HOSE_PAIR:
        yield f"{short(result).capitalize()}. Nothing of this photo itself was searched."
        return
    yield f"{short(result).capitalize()}. No flag does not mean that nothing is there."
    for one in result["hoses"]:
        gaps = ", ".join(f"{100 * start:.0f} to {100 * end:.0f} %" for start, end in one["not_searched"])
        blind = f"; along it not searched at all: {gaps}" if gaps else ""
        yield (
            f"{hose(one['name'])}: {100 * one['searched_share']:.0f} % of the surface of what the photo "
            f"shows of it was searched, all round taken as 100 %{blind}"
        )
    surface = result.get("surface")
    if surface:
        yield _region(surface)


def _region(surface: Told) -> str:
    least, most = surface["looked_for_px"]
    blind = len(surface["not_searched_px"])
    more = f"; squares of it that were not searched, crossed on its picture: {blind}" if blind else ""
    return (
        f"{100 * surface['searched_share']:.0f} % of the region shown on it was searched, for places "
        f"{least:.0f} to {most:.0f} px long{more}"
    )


def hose(name: str) -> str:
    """Return a hose as it is called."""
    if name == UNTOLD:
        return "A hose, which one is not told"
    return f"Hose {name}" if name else "The hose"


def judgements(reading: Told | None) -> Iterator[str]:
    """Return what a person marked and judged on searched photos, a sentence each; all else his words say."""
    kind = kind_judged(reading)
    if not reading or kind is None:
        return
    for one in reading["bare"]:
        seen = "none seen" if one["none_seen"] else f"{one['marks']} marked"
        yield f"Photo {one['photo']}, on the bare photo first: {seen}"
    for one in reading.get("held_against", ()):
        back = f", {len(one['brought_back'])} brought back" if one["brought_back"] else ""
        yield (
            f"Photo {one['photo']} was held against photo {one['second']}, a second one of the same hoses "
            f"from further along: {len(one['set_aside'])} of its flags moved and stayed set aside{back}"
        )
    for one in reading["judged"]:
        what = hose(one["hose"]) if kind.of_leg else f"{kind.named('')} ({one['seen_from']})"
        yield _judged(one, what)


def _judged(one: Told, what: str) -> str:
    along = "" if one["along_mm"] is None else f" at {one['along_mm']:.0f} mm"
    size = "" if one["size_mm"] is None else f", {one['size_mm']:g} mm long"
    said = words(JUDGED, one["judged"]) if one["judged"] else "not judged"
    text = f" ({one['text']})" if one["text"] else ""
    hand = f"; by hand and mirror {_hand(one['by_hand'])}" if one["by_hand"] else ""
    where = f"{what}{along}{size}, photo {one['photo']}, place {one['number']}"
    return f"{where}: {said}{text}{hand}, {when(one['at'])}"


def _hand(told: Told) -> str:
    text = f" ({told['text']})" if told["text"] else ""
    return f"{words(BY_HAND, told['finding'])}{text}"
