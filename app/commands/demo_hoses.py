"""The demo's photos of hoses, searched where the truth file says a person would tap, and held against it.

They lie in the list `hoses`, their leg's data in ``legs``.  The truth file names each hose with its taps,
each worn place with its outline, px, and what else lies on a hose, among it fluid; ``expected`` holds keys of
the search's JSON as they should come out, and ``searched_at_most``, a share that no hose's searched length
exceeds.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.commands.demo_table import NONE, markdown
from app.errors import UsageError
from app.measuring.hose_request import HoseRequest, length_share
from vision.card import supplied_cards
from vision.hose import Flag, Searched, Tap, to_json
from vision.leg import load_leg
from vision.results import Refusal

LIST = "hoses"
_HEADINGS = (
    "photo",
    "worn places",
    "flagged",
    "wet, told as such",
    "other flags",
    "set aside",
    "searched",
    "as expected",
)
_WET = ("drop", "fluid")
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class HosePhoto:
    """One photo with its truth; `worn` and `wet` are boxes about its worn and its wet places, px."""

    list_name: str
    name: str
    path: Path
    leg_file: str
    worn: Sequence[Box]
    wet: Sequence[Box]
    expected: Mapping[str, Any]
    request: HoseRequest


@dataclass(frozen=True)
class HoseRow:
    """One photo's search beside its truth."""

    photo: HosePhoto
    found: Searched | Refusal

    @property
    def shares(self) -> list[float]:
        """Of each hose's length, what was searched."""
        return [] if isinstance(self.found, Refusal) else [length_share(h.coverage) for h in self.found.hoses]

    @property
    def hits(self) -> int:
        """How many worn places are flagged."""
        return sum(any(_meet(worn, _box_of(flag)) for flag in self._flags) for worn in self.photo.worn)

    @property
    def told_wet(self) -> int:
        """How many flags say of a wet place that it is wet."""
        return sum(self._rightly_wet(flag) for flag in self._flags)

    @property
    def others(self) -> int:
        """How many flags lie on no worn place and are not rightly told as wet."""
        right = sum(any(_meet(worn, _box_of(flag)) for worn in self.photo.worn) for flag in self._flags)
        return len(self._flags) - right - self.told_wet

    @property
    def as_expected(self) -> bool:
        """Whether everything that the truth file expects came true."""
        told = dict(self.photo.expected)
        most = told.pop("searched_at_most", 1.0)
        got = to_json(self.found)
        return max(self.shares, default=0.0) <= most and all(got.get(k) == v for k, v in told.items())

    @property
    def outcome(self) -> str:
        """In a few words."""
        if isinstance(self.found, Refusal):
            return self.found.remedy.code
        wet = f", {self.told_wet} wet" if self.told_wet else ""
        return f"{self.hits} of {len(self.photo.worn)} worn places flagged{wet}, {self.others} other flags"

    @property
    def _flags(self) -> Sequence[Flag]:
        return () if isinstance(self.found, Refusal) else self.found.flags

    def _rightly_wet(self, flag: Flag) -> bool:
        worn = any(_meet(worn, _box_of(flag)) for worn in self.photo.worn)
        return flag.kind == "wet" and not worn and any(_meet(wet, _box_of(flag)) for wet in self.photo.wet)

    def cells(self) -> tuple[str, ...]:
        """Return the row's texts."""
        name, worn = f"{self.photo.list_name}/{self.photo.name}", str(len(self.photo.worn))
        expected = "yes" if self.as_expected else "no"
        if isinstance(self.found, Refusal):
            return name, worn, self.found.remedy.code, NONE, NONE, NONE, NONE, expected
        searched = ", ".join(f"{share:.0%}" for share in self.shares)
        return (
            name,
            worn,
            str(self.hits),
            str(self.told_wet),
            str(self.others),
            str(len(self.found.set_aside)),
            searched,
            expected,
        )


def read_hoses(folder: Path) -> list[HosePhoto]:
    """Return the photos of hoses with everything but their pixels read; none where the demo has no such list.

    Raises
    ------
    UsageError
        A truth file is missing or unusable.
    LegError
        A leg's data is unusable.
    """
    return [_photo(folder, path) for path in sorted((folder / LIST).glob("*.jpg"))]


def hose_table(rows: Sequence[HoseRow]) -> str:
    """Return the rows as a table."""
    return markdown(_HEADINGS, [row.cells() for row in rows])


def hose_summary(rows: Sequence[HoseRow]) -> str:
    """Return how many worn places were flagged, and that the others are not excused by it."""
    searched = [row for row in rows if not isinstance(row.found, Refusal)]
    hits, worn = sum(row.hits for row in searched), sum(len(row.photo.worn) for row in searched)
    return (
        f"{len(rows)} photos of hoses: searched {len(searched)}, refused {len(rows) - len(searched)}. "
        f"{hits} of {worn} worn places on those searched are flagged; what was not flagged is not inspected. "
        f"{sum(row.as_expected for row in rows)} of {len(rows)} came out as expected."
    )


def hose_object(row: HoseRow) -> dict[str, Any]:
    """Return the row as plain JSON values."""
    return {
        "photo": row.photo.name, "list": row.photo.list_name, "leg_file": row.photo.leg_file,
        "worn": len(row.photo.worn), "flagged": row.hits, "wet": row.told_wet,
        "expected": dict(row.photo.expected),
        "as_expected": row.as_expected, "result": to_json(row.found),
    }  # fmt: skip


def _photo(folder: Path, path: Path) -> HosePhoto:
    beside = path.with_suffix(".truth.json")
    try:
        truth = json.loads(beside.read_text(encoding="utf-8"))
        leg_file, expected = str(truth["leg_file"]), dict(truth["expected"])
        taps = [Tap(tuple((float(x), float(y)) for x, y in h["taps_px"]), h["name"]) for h in truth["hoses"]]
        worn = [_box(one["outline_px"]) for one in truth["worn"]]
        wet = [_box(one["outline_px"]) for one in truth.get("things", ()) if one["kind"] in _WET]
    except (OSError, ValueError, TypeError, KeyError) as error:
        msg = (
            f"{beside}: no usable truth ({type(error).__name__}: {error}): "
            "it needs leg_file, expected, hoses with taps_px, and worn with outline_px"
        )
        raise UsageError(msg) from error
    request = HoseRequest(load_leg(folder / "legs" / leg_file), taps, supplied_cards())
    return HosePhoto(path.parent.name, path.stem, path, leg_file, worn, wet, expected, request)


def _box_of(flag: Flag) -> Box:
    return _box(flag.outline_px.tolist())


def _box(outline: Sequence[Sequence[float]]) -> Box:
    x, y = zip(*outline, strict=True)
    return min(x), min(y), max(x), max(y)


def _meet(one: Box, other: Box) -> bool:
    """Whether the middle of either box lies in the other."""
    return _holds(one, other) or _holds(other, one)


def _holds(box: Box, other: Box) -> bool:
    x, y = (other[0] + other[2]) / 2, (other[1] + other[3]) / 2
    return box[0] <= x <= box[2] and box[1] <= y <= box[3]
