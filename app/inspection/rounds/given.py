"""What a person gives as an answer, before it is judged."""

from dataclasses import dataclass

from app.inspection.rounds.model import Finding


@dataclass(frozen=True)
class ByEye:
    """Looked at and felt; anything but GOOD needs words, a limit of a document its reference."""

    finding: Finding
    text: str = ""
    document: str = ""


@dataclass(frozen=True)
class Gauge:
    """Read with an instrument, once or several times, all in `unit`.

    `lower`, `upper` (in `unit`) and `document` are typed from the aircraft's document
    where the limit is not in the leg's data.  A cable's tension is given as the
    tensiometer's bare scale in `values`, with the riser's chart, the aircraft's
    chart and the temperature.  A tire's pressure comes with its `state`, ``"loaded"`` or
    ``"unloaded"``, and the temperature of the cold tire.
    """

    values: tuple[float, ...]
    unit: str
    instrument_id: str
    lower: float | None = None
    upper: float | None = None
    document: str = ""
    riser_id: str = ""
    limits_id: str = ""
    temperature_c: float | None = None
    text: str = ""
    state: str = ""


@dataclass(frozen=True)
class Counted:
    """Counted, against the least and the most that the document allows."""

    number: int
    least: int | None = None
    most: int | None = None
    document: str = ""
    text: str = ""


@dataclass(frozen=True)
class Break:
    """One broken wire: how far along the cable from a named end, mm, and whether the place is critical.

    Critical is over a pulley, in a fair-lead, or near a swaged fitting, as the document says.
    """

    at_mm: float
    critical: bool = False


@dataclass(frozen=True)
class Wires:
    """Every broken wire of a cable by its place, against what the document allows."""

    breaks: tuple[Break, ...]
    strand_broken: bool
    most_in_inch: int
    most_in_critical: int
    document: str
    text: str = ""


Given = ByEye | Gauge | Counted | Wires
