"""What a programme consists of, as frozen values: the round of one leg, item by item.

A programme holds no number.  An item's limit is the leg's own (LEG.toml) or the
aircraft's document's; here stands only which of the two it is.  The values of the
enums are stored for years: add, never rename.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum

WHEELS, TWIN = "wheels", "twin"
"""The feature that tells how many wheels a leg has, and the answer that doubles what is done for each."""


class ItemCondition(StrEnum):
    """How the aircraft stands while an item is done; their order is the order of the work."""

    ON_WHEELS = "on_wheels"
    RAISED_AND_PINNED = "raised_and_pinned"
    SWING = "swing"
    RESTORED = "restored"


class Method(StrEnum):
    """How an item is done."""

    PHOTO_MEASUREMENT = "photo_measurement"
    PHOTO_SEARCH = "photo_search"
    GAUGE_READING = "gauge_reading"
    COUNT = "count"
    HAND_AND_EYE = "hand_and_eye"

    @property
    def is_photo(self) -> bool:
        """Whether there is a photo that a second person can look at."""
        return self in (Method.PHOTO_MEASUREMENT, Method.PHOTO_SEARCH)


class LimitKind(StrEnum):
    """Where the limit comes from.

    LEG_DATA: a value of LEG.toml that `Item.needs` names.  DOCUMENT: the aircraft's
    document, whose value is typed in with the reading.  BY_EYE: words of the
    document, judged by the person.
    """

    LEG_DATA = "leg_data"
    DOCUMENT = "document"
    BY_EYE = "by_eye"


class SeenBy(StrEnum):
    """Who has to see an item beside the person who did it."""

    INSPECTOR = "inspector"
    REQUIRED_INSPECTION = "required_inspection"


class SeenFrom(StrEnum):
    """From where the second person sees it; a required inspection is always at the aircraft."""

    AIRCRAFT = "aircraft"
    PHOTO = "photo"


@dataclass(frozen=True)
class Caution:
    """One caution; its text stands once and is referred to by key."""

    key: str
    title: str
    text: str
    source: str


@dataclass(frozen=True)
class Feature:
    """What has to be known of a leg before its items are known, e.g. the kind of shimmy damper."""

    key: str
    question: str
    answers: tuple[str, ...]


@dataclass(frozen=True)
class Statement:
    """What a person states before work in a condition; `record` says what is written down with it."""

    key: str
    text: str
    record: str = ""


@dataclass(frozen=True)
class Condition:
    """One condition with what a person has to state about it, and its cautions by key."""

    key: ItemCondition
    title: str
    statements: tuple[Statement, ...]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Group:
    """One stop of the walk-round."""

    key: str
    title: str


@dataclass(frozen=True)
class Where:
    """An item is for legs that answer a feature's question with one of these."""

    feature: str
    answers: tuple[str, ...]


@dataclass(frozen=True)
class Item:
    """One thing to inspect.

    Attributes
    ----------
    limit_of : str
        What it is that the limit limits, in words.
    guide : tuple of str
        What to do and to look for, step by step.
    sources : tuple of str
        Where the item comes from, or ``"common practice, no source"``.
    measures, searches : tuple of str
        Of a photo measurement the results' names, of a photo search what is searched (contract); of hand and
        eye that photos of a surface may be searched beside them.
    instrument, quantity : str
        Of a gauge reading: what is read with, and what is read.
    counted : str
        Of a count: what is counted.
    counts : str
        Of a count: ``"broken_wires"`` where each is told with its place, else one number.
    sequence : str
        ``"leak"`` or ``"crack"``: what a fault of this item sets going; ``"servicing"``:
        what is told step by step where something is filled in.
    each : str
        ``"wheel"``: it is an item of each wheel where the leg's answer to `WHEELS` is `TWIN`.
    needs : tuple of tuple of str
        Data of LEG.toml as ``table.key``; one key of each inner tuple has to be there.
    only_where : tuple of Where
        Kinds of leg that it is for, all of which must hold; empty: every leg.
    cautions : tuple of str
        Keys of `Programme.cautions`.
    """

    key: str
    title: str
    group: str
    condition: ItemCondition
    method: Method
    limit: LimitKind
    guide: tuple[str, ...]
    sources: tuple[str, ...]
    seen_by: SeenBy = SeenBy.INSPECTOR
    seen_from: SeenFrom = SeenFrom.AIRCRAFT
    limit_of: str = ""
    measures: tuple[str, ...] = ()
    searches: tuple[str, ...] = ()
    instrument: str = ""
    quantity: str = ""
    counted: str = ""
    counts: str = ""
    sequence: str = ""
    each: str = ""
    needs: tuple[tuple[str, ...], ...] = ()
    only_where: tuple[Where, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def broken_wires(self) -> bool:
        """Whether it asks for the place of every broken wire."""
        return self.counts == "broken_wires"

    def applies(self, answers: Mapping[str, str]) -> bool:
        """Return whether a leg with these answers by feature gets this item.

        An unanswered question leaves the item in: nothing falls off a round
        because nobody has said what is fitted.
        """
        return all(
            where.feature not in answers or answers[where.feature] in where.answers
            for where in self.only_where
        )

    def lacking(self, leg_keys: Collection[str]) -> tuple[tuple[str, ...], ...]:
        """Return what of `needs` a leg with these keys (``"strut.lower_mm"``, …) does not have."""
        return tuple(need for need in self.needs if not any(key in leg_keys for key in need))


@dataclass(frozen=True)
class Excluded:
    """What this programme leaves out, and why: so that nobody takes it for inspected."""

    key: str
    title: str
    reason: str


@dataclass(frozen=True)
class Programme:
    """A whole programme.

    Attributes
    ----------
    version : str
        SHA-256 in hex of the content (`app.programme.version`); part of the record.
    revision : str
        The shop's own name for this state of it.
    document : str
        What it was written from, and what goes before it.
    opening : tuple of str
        Keys of the cautions that open every visit, before the first photo.
    conditions : tuple of Condition
        In the order of the work.
    groups, items : tuple of Group, tuple of Item
        In walk-round order.
    """

    name: str
    version: str
    revision: str
    document: str
    opening: tuple[str, ...]
    cautions: tuple[Caution, ...]
    features: tuple[Feature, ...]
    conditions: tuple[Condition, ...]
    groups: tuple[Group, ...]
    items: tuple[Item, ...]
    excluded: tuple[Excluded, ...] = ()

    def caution(self, key: str) -> Caution:
        """Return the caution with this key; KeyError where there is none."""
        return {caution.key: caution for caution in self.cautions}[key]

    def condition(self, key: ItemCondition) -> Condition:
        """Return the condition with this key; KeyError where there is none."""
        return {condition.key: condition for condition in self.conditions}[key]

    def item(self, key: str) -> Item:
        """Return the item with this key; KeyError where there is none."""
        return {item.key: item for item in self.items}[key]

    def items_for(self, answers: Mapping[str, str]) -> tuple[Item, ...]:
        """Return the items of a leg with these answers by feature, in walk-round order."""
        return tuple(item for item in self.items if item.applies(answers))

    def unanswered(self, answers: Mapping[str, str]) -> tuple[Feature, ...]:
        """Return the features that these answers say nothing, or nothing known, about."""
        return tuple(one for one in self.features if answers.get(one.key) not in one.answers)
