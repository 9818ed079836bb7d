"""Is this the chain whose head was kept elsewhere: printed on paper, sent by mail."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from app.archive.chain import ARCHIVE, Head
from app.archive.verify.found import Found
from app.errors import UsageError

SHORTEST = 16
"""Hex digits of an anchor that are enough: nobody makes a chain that shares so many by trying."""

_FORM = re.compile(r"(?:([1-9][0-9]{0,17}):)?([0-9a-f]{16,64})")


def anchor_of(head: Head) -> str:
    """Return a head as it is printed and given back: ``NUMBER:HASH``."""
    return f"{head.number}:{head.hash}"


@dataclass
class _Anchor:
    text: str
    number: int | None
    hash: str
    met: str = ""
    other: str = ""


class Anchors:
    """The anchors that were given; `meet` each event of each chain, then `end`.

    One with a number is of the archive's chain; a bare hash may be of any chain.

    Raises
    ------
    UsageError
        One of them is no anchor.
    """

    def __init__(self, given: Sequence[str]) -> None:
        self._all = [_read(text) for text in given]
        self._last = Head(0, "")
        self._fits = (0, "with its first event, or before any anchor that fits")

    def meet(self, chain: str, head: Head, at: str) -> None:
        """Compare one event with the anchors."""
        if chain == ARCHIVE:
            self._last = head
        for one in self._all:
            same = head.hash.startswith(one.hash)
            if same and (one.number is None or (chain, one.number) == (ARCHIVE, head.number)):
                one.met = at or "?"
                if chain == ARCHIVE:
                    self._fits = max(
                        self._fits, (head.number, f"after event {head.number} of {at}, which an anchor fits")
                    )
            elif chain == ARCHIVE and one.number == head.number:
                one.other = head.hash

    def end(self, found: Found) -> None:
        """Add a fault for each anchor that nothing fitted."""
        for one in self._all:
            found.count("anchors")
            if one.met:
                continue
            began = self._fits[1]
            if one.other:
                what = f"event {one.number} of chain {ARCHIVE} is another one: the chain was rewritten since"
            elif one.number is not None:
                what = (
                    f"chain {ARCHIVE} ends with event {self._last.number}: "
                    "what came after was removed, or the chain was rewritten"
                )
                began = f"{began}, and not later than event {self._last.number + 1}"
            else:
                what = (
                    "no event has this hash: the chain was rewritten or cut off since, "
                    "or this is another archive's"
                )
            if one.other:
                began = f"{began}, and not later than event {one.number}"
            found.add(f"anchor {one.text}", what, began)


def _read(text: str) -> _Anchor:
    # Typed off paper: groups, capitals and blanks are welcome.
    told = re.sub(r"[\s-]", "", text).lower()
    form = _FORM.fullmatch(told)
    if form is None:
        msg = (
            f"{text!r} is no anchor: give NUMBER:HASH as it is printed, or at least the first "
            f"{SHORTEST} digits of the hash"
        )
        raise UsageError(msg)
    return _Anchor(told, None if form[1] is None else int(form[1]), form[2])
