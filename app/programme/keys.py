"""Every key of a programme's file: in which table, how it is written, what it may say.

There is no kind for a number, on purpose: a programme cannot hold a limit.
"""

from dataclasses import dataclass
from enum import Enum, StrEnum, auto

from app.programme.model import ItemCondition, LimitKind, Method, SeenBy, SeenFrom
from vision.leg import keys as leg


class Kind(Enum):
    """How a value is written."""

    KEY = auto()  # "strut_extension"
    TEXT = auto()  # "…"
    CHOICE = auto()  # one of `choices`
    TEXTS = auto()  # ["…", "…"]
    KEYS = auto()  # ["one_key", "another"]
    CHOICES = auto()  # ["one of `choices`", …]
    NEEDS = auto()  # ["strut.lower_mm or strut.upper_mm", …]
    WHERE = auto()  # {feature = ["answer", …], …}
    TABLES = auto()  # [[table.table]]


@dataclass(frozen=True)
class Key:
    """One key of a table."""

    name: str
    kind: Kind
    required: bool = False
    choices: tuple[str, ...] = ()


def _must(name: str, kind: Kind) -> Key:
    return Key(name, kind, required=True)


def _choice(name: str, choices: type[StrEnum], *, required: bool = False) -> Key:
    return Key(name, Kind.CHOICE, required, tuple(one.value for one in choices))


MEASURED = (
    "strut_extension", "pressure_line_angle", "creep_angle", "creep_arc", "outside_diameter", "loaded_radius",
    "deflection",
)  # fmt: skip
"""What a photo measurement can be asked for: the names of the contract's results."""

SEARCHED = ("hose", "surface")
QUANTITIES = ("pressure", "tension", "length", "angle", "torque", "force", "temperature", "resistance")

COUNTS = ("number", "broken_wires")
"""What a count's form asks for: one number, or the place of every broken wire."""

SEQUENCES = ("leak", "crack", "servicing")
"""Work whose steps have an order, where one tick would lie."""

EACH = ("wheel",)
"""What an item is done for one by one, where a leg has more than one of it."""

TOP_KEYS = (
    _must("name", Kind.TEXT),
    Key("revision", Kind.TEXT),
    _must("document", Kind.TEXT),
    _must("opening", Kind.KEYS),
)
CAUTION_KEYS = (
    _must("key", Kind.KEY), _must("title", Kind.TEXT), _must("text", Kind.TEXT), _must("source", Kind.TEXT),
)  # fmt: skip
FEATURE_KEYS = (_must("key", Kind.KEY), _must("question", Kind.TEXT), _must("answers", Kind.KEYS))
STATEMENT_KEYS = (_must("key", Kind.KEY), _must("text", Kind.TEXT), Key("record", Kind.TEXT))
CONDITION_KEYS = (
    _choice("key", ItemCondition, required=True),
    _must("title", Kind.TEXT),
    Key("cautions", Kind.KEYS),
    _must("statement", Kind.TABLES),
)
GROUP_KEYS = (_must("key", Kind.KEY), _must("title", Kind.TEXT))
ITEM_KEYS = (
    _must("key", Kind.KEY),
    _must("title", Kind.TEXT),
    _must("group", Kind.KEY),
    _choice("condition", ItemCondition, required=True),
    _choice("method", Method, required=True),
    _choice("limit", LimitKind, required=True),
    Key("limit_of", Kind.TEXT),
    Key("measures", Kind.CHOICES, choices=MEASURED),
    Key("searches", Kind.CHOICES, choices=SEARCHED),
    Key("instrument", Kind.TEXT),
    Key("quantity", Kind.CHOICE, choices=QUANTITIES),
    Key("counted", Kind.TEXT),
    Key("counts", Kind.CHOICE, choices=COUNTS),
    Key("sequence", Kind.CHOICE, choices=SEQUENCES),
    Key("each", Kind.CHOICE, choices=EACH),
    _choice("seen_by", SeenBy),
    _choice("seen_from", SeenFrom),
    Key("needs", Kind.NEEDS),
    Key("only_where", Kind.WHERE),
    Key("cautions", Kind.KEYS),
    _must("guide", Kind.TEXTS),
    _must("sources", Kind.TEXTS),
)
EXCLUDED_KEYS = (_must("key", Kind.KEY), _must("title", Kind.TEXT), _must("reason", Kind.TEXT))

TABLES: dict[str, tuple[Key, ...]] = {
    "caution": CAUTION_KEYS,
    "feature": FEATURE_KEYS,
    "condition": CONDITION_KEYS,
    "group": GROUP_KEYS,
    "item": ITEM_KEYS,
    "excluded": EXCLUDED_KEYS,
}
REQUIRED_TABLES = ("caution", "condition", "group", "item")

LEG_NEEDS = tuple(f"{table}.{key.name}" for table, keys in leg.TABLES.items() for key in keys)
"""What `needs` may name: the keys of LEG.toml."""
