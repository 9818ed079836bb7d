"""Does a programme fit together: references, what a method needs, who sees what, the order of the round.

What was faulty by itself is skipped here, so that one mistake gives one message.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence

from app.programme.content import Content, Entry
from app.programme.faults import named, nearest
from app.programme.model import ItemCondition, LimitKind, Method, SeenBy, SeenFrom

_ORDER = tuple(one.value for one in ItemCondition)
_LIKE = 0.6
"""Below this likeness a key is no misspelling of another: its table is simply not there."""

_OF_METHOD: dict[str, tuple[str, ...]] = {
    Method.PHOTO_MEASUREMENT: ("measures",),
    Method.PHOTO_SEARCH: ("searches",),
    Method.GAUGE_READING: ("instrument", "quantity"),
    Method.COUNT: ("counted",),
    Method.HAND_AND_EYE: (),
}
_BESIDE: dict[str, tuple[str, ...]] = {Method.HAND_AND_EYE: ("searches",)}
"""What a method may say and need not: photos may be searched beside hand and eye."""


def check(content: Content) -> None:
    """Enter what does not fit together among the content's faults."""
    for table in content.tables:
        _check_unique(content, table)
    _check_excluded(content)
    _check_references(content)
    for condition in content.tables["condition"]:
        _check_statements(condition)
    for item in content.tables["item"]:
        _check_answers(content, item)
        _check_method(item)
        _check_seen(item)
        _check_limit(item)
    _check_condition_order(content)
    _check_walk(content)


def _check_unique(content: Content, table: str) -> None:
    seen: dict[str, Entry] = {}
    for entry in content.tables[table]:
        key = entry.get("key")
        if key is not None and seen.setdefault(key, entry) is not entry:
            entry.place.at("key").fault(
                f"another {table} has this key, in line {seen[key].line}",
                "give each its own, or take one out",
            )


def _check_excluded(content: Content) -> None:
    items = content.keys("item")
    for entry in content.tables["excluded"]:
        if entry.get("key") in items:
            entry.place.at("key").fault("it is an item and excluded too", "take one of the two out")


def _check_statements(condition: Entry) -> None:
    keys = [one.get("key") for one in condition.values["statement"]]
    for number, key in enumerate(keys):
        if key is not None and key in keys[:number]:
            condition.place.at("statement", number).fault(
                f"there are two statements {key}", "give each its own key, or take one out"
            )


def _check_references(content: Content) -> None:
    """One message for each key that leads nowhere, however many refer to it: the mistake is one."""
    missing: dict[tuple[str, str], list[tuple[Entry, str]]] = {}
    for entry, name, table, key in _references(content):
        known = content.keys(table)
        # Where a table's own key could not be read, the reference may well be meant for that one.
        if key not in known and len(known) == len(content.tables[table]):
            missing.setdefault((table, key), []).append((entry, name))
    for (table, key), places in missing.items():
        entry, name = places[0]
        near = nearest(key, content.keys(table), _LIKE)
        also = f" (and {len(places) - 1} more below)" if len(places) > 1 else ""
        entry.place.at(name).fault(
            f"{name} names {named(key)}{also}, and there is no [[{table}]] of this key",
            f"the nearest known one is {near}, else write a [[{table}]] for it" if near
            else f"write a [[{table}]] for it",
            key,
        )  # fmt: skip


def _references(content: Content) -> Iterator[tuple[Entry, str, str, str]]:
    """Yield who refers, under which name, to which table's which key."""
    for key in content.top.get("opening") or ():
        yield content.top, "opening", "caution", key
    for entry in content.tables["condition"] + content.tables["item"]:
        for key in entry.get("cautions") or ():
            yield entry, "cautions", "caution", key
    for item in content.tables["item"]:
        for name in ("group", "condition"):
            if item.get(name) is not None:
                yield item, name, name, item.get(name)
        for key in item.get("only_where") or ():
            yield item, "only_where", "feature", key


def _check_answers(content: Content, item: Entry) -> None:
    features = {entry.get("key"): entry.get("answers") or () for entry in content.tables["feature"]}
    for feature, answers in (item.get("only_where") or {}).items():
        known = features.get(feature) or ()
        for answer in answers:
            if known and answer not in known:
                item.place.at("only_where").fault(
                    f"{feature} has no answer {answer}",
                    f"the nearest known one is {nearest(answer, known)} (one of {', '.join(known)})",
                )


def _check_method(item: Entry) -> None:
    method = item.get("method")
    if method is None:
        return
    for other, names in _OF_METHOD.items():
        for name in names:
            if other == method and name not in item.values and not _was_faulty(item, name):
                item.place.at("method").fault(f"a {_words(method)} needs {name}", f"write {name} too")
            if other != method and name in item.values and name not in _BESIDE.get(method, ()):
                _says_nothing(item, name, method, other)
    if method == Method.HAND_AND_EYE and "hose" in item.values.get("searches", ()):
        item.place.at("searches").fault(
            "hoses are searched on photos as a method of their own",
            "write method = photo_search, or search a surface",
        )
    if method != Method.COUNT and "counts" in item.values:
        _says_nothing(item, "counts", method, Method.COUNT)


def _says_nothing(item: Entry, name: str, method: str, other: str) -> None:
    item.place.at(name).fault(
        f"{name} says nothing for a {_words(method)}",
        f"take it out, or write method = {other}",
    )


def _was_faulty(item: Entry, name: str) -> bool:
    """Whether the key is written in this item: then its own fault has been told."""
    return item.place.faults.line(item.place.at(name).path) != item.line


def _check_seen(item: Entry) -> None:
    if item.get("seen_from") != SeenFrom.PHOTO:
        return
    method = item.get("method")
    if item.get("seen_by") == SeenBy.REQUIRED_INSPECTION:
        item.place.at("seen_from").fault(
            "a required inspection is seen at the aircraft", "write seen_from = aircraft, or take it out"
        )
    elif method is not None and not Method(method).is_photo:
        item.place.at("seen_from").fault(
            f"a {_words(method)} leaves no photo to see it from", "write seen_from = aircraft, or take it out"
        )


def _check_limit(item: Entry) -> None:
    limit = item.get("limit")
    if limit == LimitKind.LEG_DATA and "needs" not in item.values and not _was_faulty(item, "needs"):
        item.place.at("limit").fault(
            "a limit from the leg's data needs to say which", 'write needs = ["table.key"] of LEG.toml'
        )
    if limit == LimitKind.DOCUMENT and "limit_of" not in item.values and not _was_faulty(item, "limit_of"):
        item.place.at("limit").fault(
            "a limit from the document needs to say of what", 'write limit_of = "…", what the limit is for'
        )


def _check_condition_order(content: Content) -> None:
    entries = [entry for entry in content.tables["condition"] if entry.get("key") is not None]
    for number in _astray([(_ORDER.index(entry.get("key")), 0) for entry in entries]):
        entries[number].place.at("key").fault(
            "the conditions do not stand in the order of the work",
            f"write them in the order {', '.join(_ORDER)}",
        )


def _check_walk(content: Content) -> None:
    groups = content.keys("group")
    items = [
        entry
        for entry in content.tables["item"]
        if entry.get("condition") is not None and entry.get("group") in groups
    ]
    ranks = [(_ORDER.index(item.get("condition")), groups.index(item.get("group"))) for item in items]
    for number in _astray(ranks):
        item = items[number]
        condition, group = item.get("condition"), item.get("group")
        item.place.fault(
            f"it is out of the walk-round's order ({_words(condition)}, group {group})",
            "move it to the other items of its condition and group, which stand in the order of the "
            "conditions, and within one in the order of the [[group]] tables",
        )


def _astray(ranks: Sequence[tuple[int, int]]) -> list[int]:
    """Return the fewest places whose removal leaves the ranks in order (longest rising subsequence)."""
    tops: list[tuple[int, int]] = []
    ends: list[int] = []
    before: list[int] = []
    for number, rank in enumerate(ranks):
        at = bisect_right(tops, rank)
        before.append(ends[at - 1] if at else -1)
        tops[at : at + 1], ends[at : at + 1] = [rank], [number]
    kept = set()
    last = ends[-1] if ends else -1
    while last >= 0:
        kept.add(last)
        last = before[last]
    return [number for number in range(len(ranks)) if number not in kept]


def _words(value: str) -> str:
    return value.replace("_", " ")
