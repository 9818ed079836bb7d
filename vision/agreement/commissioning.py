"""Whether a leg type's photo readings may stand by themselves: the paired hand/photo study.

Until such a study is stored and approved by a named person, a photo reading is
*supporting*: a hand measurement stands beside it.  This room only says what the
study shows and what it lacks; a person approves.

Method: Bland and Altman's differences with exact confidence (`limits`), and the
share of differences within the combined expanded uncertainty held against its
promised 95 % by an exact binomial test.  How many pairs and people are enough
is our choice, no source: 20 pairs put the limits within about a third of an sd.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from scipy import special

from vision.agreement.limits import FEWEST, LimitsOfAgreement, limits_of_agreement
from vision.results import COVERAGE_PROBABILITY

ENOUGH_PAIRS = 20
ENOUGH_PEOPLE = 2
CHANCE = 0.05  # a rarer outcome is not put down to chance
SPAN_SHARE = 0.5  # of the limits' width that the struts' extensions must span


@dataclass(frozen=True)
class Pair:
    """One strut at one time, measured by hand and on a photo; lengths and expanded uncertainties in mm.

    `hand_by` and `photo_by` tell people apart, in any words.
    """

    strut: str
    hand_mm: float
    hand_u_mm: float
    hand_by: str
    photo_mm: float
    photo_u_mm: float
    photo_by: str

    @property
    def difference_mm(self) -> float:
        """Photo minus hand."""
        return self.photo_mm - self.hand_mm

    @property
    def combined_u_mm(self) -> float:
        """Expanded uncertainty of the difference: scale and rule have nothing in common."""
        return math.hypot(self.hand_u_mm, self.photo_u_mm)

    @property
    def covered(self) -> bool:
        """Whether hand and photo agree within their combined uncertainty."""
        return abs(self.difference_mm) <= self.combined_u_mm


@dataclass(frozen=True)
class CommissioningStudy:
    """Pairs of one leg type, held against the difference that is allowed.

    Attributes
    ----------
    pairs : tuple of Pair
        At least three.
    allowed_mm : float
        What a photo reading may differ from the hand's, with 95 % probability.
    span_mm : float
        Width between the leg's limits: the struts studied must span a good part of it.
    """

    pairs: tuple[Pair, ...]
    allowed_mm: float
    span_mm: float

    @cached_property
    def limits(self) -> LimitsOfAgreement:
        """Limits of agreement of photo minus hand, one pair for each strut and visit."""
        return limits_of_agreement([p.photo_mm for p in self.pairs], [p.hand_mm for p in self.pairs])

    @property
    def covered(self) -> int:
        """Pairs that agree within their combined uncertainty."""
        return sum(pair.covered for pair in self.pairs)

    @property
    def uncovered(self) -> tuple[Pair, ...]:
        """The others, to be looked at one by one."""
        return tuple(pair for pair in self.pairs if not pair.covered)

    @property
    def coverage_chance(self) -> float:
        """Chance of so few covered pairs where U keeps its promise (exact, binomial)."""
        return float(special.bdtr(self.covered, len(self.pairs), COVERAGE_PROBABILITY))

    @property
    def gaps(self) -> tuple[str, ...]:
        """What the study lacks or contradicts, each with what to do; empty where it carries the step."""
        return tuple(filter(None, (self._size(), self._people(), self._reach(), *self._agreement())))

    @property
    def carries(self) -> bool:
        """Whether a named person may approve primary readings on this study."""
        return not self.gaps

    def _size(self) -> str | None:
        n, struts = len(self.pairs), len({pair.strut for pair in self.pairs})
        if n < ENOUGH_PAIRS:
            return f"{n} pairs are too few: measure at least {ENOUGH_PAIRS}, on other struts or other days."
        if struts < 2:
            return "all pairs are of one strut: measure struts of at least two legs of this type."
        return None

    def _people(self) -> str | None:
        by_hand = {pair.hand_by for pair in self.pairs}
        by_photo = {pair.photo_by for pair in self.pairs}
        if min(len(by_hand), len(by_photo)) < ENOUGH_PEOPLE:
            return (
                f"{len(by_hand)} people measured by hand and {len(by_photo)} took photos: let at least "
                f"{ENOUGH_PEOPLE} do either."
            )
        same = sum(pair.hand_by == pair.photo_by for pair in self.pairs)
        if same:
            return (
                f"in {same} pairs one person did both and knew the other value: measure them again with two."
            )
        return None

    def _reach(self) -> str | None:
        lengths = [pair.hand_mm for pair in self.pairs]
        reach = max(lengths) - min(lengths)
        if reach < SPAN_SHARE * self.span_mm:
            return (
                f"the struts differ by {reach:.1f} mm only, the limits lie {self.span_mm:.1f} mm apart: "
                "add struts near both limits."
            )
        return None

    def _agreement(self) -> tuple[str | None, ...]:
        limits = self.limits
        far = max(abs(limits.holding[0]), abs(limits.holding[1]))
        wide = steep = short = None
        if not limits.shown_within(self.allowed_mm):
            wide = (
                f"95 % of the differences are shown to lie within ± {far:.2f} mm, allowed are "
                f"± {self.allowed_mm:.2f} mm: find the cause of the largest, or add pairs."
            )
        # What the slope makes of the whole span, beside what is allowed.
        if limits.drifting and abs(limits.slope) * self.span_mm > self.allowed_mm / 2:
            steep = (
                f"the difference changes by {limits.slope * self.span_mm:+.2f} mm between the limits: "
                "check the diameters and the card's bars."
            )
        if self.coverage_chance < CHANCE:
            short = (
                f"only {self.covered} of {len(self.pairs)} pairs agree within their combined uncertainty: "
                "one of the two is worse than it says; look at the others one by one."
            )
        return wide, steep, short


def commissioning_study(pairs: Sequence[Pair], *, allowed_mm: float, span_mm: float) -> CommissioningStudy:
    """Hold paired hand and photo readings of one leg type against the difference that is allowed.

    Parameters
    ----------
    pairs : sequence of Pair
        One for each strut and visit; refused photos are no pairs, count them beside.
    allowed_mm : float
        Largest difference that the use allows with 95 % probability, e.g. a quarter of the tolerance.
    span_mm : float
        Width between the leg's limits.

    Raises
    ------
    ValueError
        Fewer than three pairs, or a number that is not finite or not positive where it must be.
    """
    if len(pairs) < FEWEST:
        msg = f"a study needs {FEWEST} pairs or more to say anything, got {len(pairs)}"
        raise ValueError(msg)
    for pair in pairs:
        numbers = (pair.hand_mm, pair.photo_mm, pair.hand_u_mm, pair.photo_u_mm)
        if not all(math.isfinite(number) and number > 0 for number in numbers):
            msg = (
                f"strut {pair.strut}: lengths and expanded uncertainties are positive numbers, got {numbers}"
            )
            raise ValueError(msg)
    if not (0 < allowed_mm < math.inf and 0 < span_mm < math.inf):
        msg = f"what is allowed and the span are positive lengths, got {allowed_mm} and {span_mm}"
        raise ValueError(msg)
    return CommissioningStudy(tuple(pairs), allowed_mm, span_mm)
