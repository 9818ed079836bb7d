"""Human against machine, by the version of the software that read: pairs, coverage of U, wear by grade.

The limits of agreement themselves are `vision.agreement`'s; here pairs are gathered and counted.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from vision.agreement import LimitsOfAgreement, difference_plot, limits_of_agreement
from vision.agreement.limits import FEWEST

UNKNOWN = "not told"


class HumanBy(StrEnum):
    """How a person read: with a rule at the aircraft, or by points placed on the same photo.

    The second shares the photo's scale, so it checks edges and says nothing about scale.
    """

    RULE = "rule"
    PLACED = "placed"


@dataclass(frozen=True)
class Pair:
    """One state of one leg read by the program and by a person, mm.

    `human_u` is the expanded uncertainty of the person's value; `difference_u` that of
    the difference, where it is not simply that of two independent readings.
    """

    version: str
    leg_kind: str
    machine: float
    machine_u: float
    human: float
    human_u: float
    by: HumanBy
    id: str = ""
    difference_u: float | None = None

    @property
    def difference(self) -> float:
        """Machine less human."""
        return self.machine - self.human

    @property
    def agrees(self) -> bool:
        """Whether both lie within the expanded uncertainty of their difference."""
        both = math.hypot(self.machine_u, self.human_u)
        return abs(self.difference) <= (both if self.difference_u is None else min(both, self.difference_u))

    @property
    def is_covered(self) -> bool:
        """Whether the human value lies within the machine's own U."""
        return abs(self.difference) <= self.machine_u


@dataclass(frozen=True)
class Share:
    """A share of a count with its exact 95 % interval (Clopper and Pearson 1934)."""

    hits: int
    of: int

    @property
    def value(self) -> float:
        """0 to 1; nan of nothing."""
        return self.hits / self.of if self.of else math.nan

    @property
    def interval(self) -> tuple[float, float]:
        """Low and high, 0 to 1."""
        if not self.of:
            return 0.0, 1.0
        low = 0.0 if self.hits == 0 else _where(lambda p: 1 - _at_most(self.hits - 1, self.of, p), 0.025)
        high = 1.0 if self.hits == self.of else _where(lambda p: 1 - _at_most(self.hits, self.of, p), 0.975)
        return low, high


@dataclass(frozen=True)
class Agreement:
    """What pairs of one version and one way of human reading say.

    Attributes
    ----------
    limits : LimitsOfAgreement or None
        Of machine less human, mm; None where there are too few pairs.
    covered : Share
        How often the human value lay within the machine's U: 0.95 and more is what U promises, less
        the human's own doubt.
    agreeing : Share
        How often both agreed within the U of their difference.
    """

    version: str
    by: HumanBy
    pairs: tuple[Pair, ...]
    limits: LimitsOfAgreement | None
    covered: Share
    agreeing: Share

    def plot(self) -> str | None:
        """Return the difference plot as SVG text; None where there are too few pairs."""
        if self.limits is None:
            return None
        machine, human = [pair.machine for pair in self.pairs], [pair.human for pair in self.pairs]
        return difference_plot(self.limits, machine, human, names=("program", self.by.value))


def agreements(pairs: Iterable[Pair]) -> tuple[Agreement, ...]:
    """Return what the pairs say, the newest version first, rules before placings."""
    groups: dict[tuple[str, HumanBy], list[Pair]] = {}
    for pair in pairs:
        groups.setdefault((pair.version or UNKNOWN, pair.by), []).append(pair)
    order = sorted(groups, key=lambda key: (_version_key(key[0]), key[1] is HumanBy.RULE), reverse=True)
    return tuple(_agreement(version, by, groups[version, by]) for version, by in order)


def _agreement(version: str, by: HumanBy, pairs: Sequence[Pair]) -> Agreement:
    limits = None
    if len(pairs) >= FEWEST:
        limits = limits_of_agreement([pair.machine for pair in pairs], [pair.human for pair in pairs])
    covered = Share(sum(pair.is_covered for pair in pairs), len(pairs))
    agreeing = Share(sum(pair.agrees for pair in pairs), len(pairs))
    return Agreement(version, by, tuple(pairs), limits, covered, agreeing)


def wear_by_grade(judged: Iterable[tuple[str, str]]) -> Mapping[str, Share]:
    """Return for each grade of flag how often a person called it wear, the grades in order.

    Parameters
    ----------
    judged : iterable of (grade, answer)
        ``"wear"`` counts; ``"cannot tell"`` counts as looked at and not as wear.
    """
    counts: dict[str, list[int]] = {}
    for grade, answer in judged:
        count = counts.setdefault(grade, [0, 0])
        count[0] += answer == "wear"
        count[1] += 1
    return {grade: Share(*counts[grade]) for grade in sorted(counts)}


def _version_key(version: str) -> tuple[tuple[int, ...], str]:
    numbers = tuple(int(part) for part in version.split("+", maxsplit=1)[0].split(".") if part.isdecimal())
    return numbers, version


def _at_most(hits: int, of: int, p: float) -> float:
    """The chance of at most so many hits."""
    if p >= 1:
        return float(hits >= of)
    logs = (
        math.lgamma(of + 1)
        - math.lgamma(k + 1)
        - math.lgamma(of - k + 1)
        + k * math.log(p)
        + (of - k) * math.log1p(-p)
        for k in range(hits + 1)
    )
    return math.fsum(map(math.exp, logs)) if p > 0 else 1.0


def _where(rising: Callable[[float], float], target: float) -> float:
    low, high = 1e-12, 1 - 1e-12
    for _ in range(100):
        middle = (low + high) / 2
        if rising(middle) < target:
            low = middle
        else:
            high = middle
    return (low + high) / 2
