"""Work whose steps have an order, as a table: what each step asks for, and what may follow it.

leak       photo before wiping → fluid named → depressurised and tagged → seating and
           torque as the manual says, **once** → pressurised from a safe place, looked at
           again → dry: through; it leaks: part replaced → pressurised and looked at again;
           leaks still: not through, begun anew
crack      stopped → marked beside it → photo with place → non-destructive inspection
           ordered (part, serial, material, method, approved data) → its result
servicing  level before → filled in (fluid, quantity, batch) → air worked out → level after

No step is done twice; magnetic particles go on ferrous material only (check values,
common practice).
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from app.errors import Conflict, UsageError
from app.inspection.base import checked_text
from app.inspection.rounds.model import SequenceKind, Step


@dataclass(frozen=True)
class StepRule:
    """One step: its key, what the person does, what he writes down, whether a photo shows it."""

    key: str
    words: str
    tells: tuple[str, ...] = ()
    photo: bool = False


DRY, LEAKS = "dry", "leaks"
INDICATION, NO_INDICATION = "indication", "no indication"
METHODS = ("penetrant", "magnetic particle", "eddy current", "ultrasonic", "radiographic")
FERROUS, NOT_FERROUS = "ferrous", "not ferrous"

_CHOICES: Mapping[str, tuple[str, ...]] = {
    "seen": (DRY, LEAKS),
    "result": (INDICATION, NO_INDICATION),
    "method": METHODS,
    "material": (FERROUS, NOT_FERROUS),
}

STEPS: Mapping[SequenceKind, tuple[StepRule, ...]] = {
    SequenceKind.LEAK: (
        StepRule("photo", "Photo before anything is wiped", photo=True),
        StepRule("fluid", "Name the fluid", ("fluid",)),
        StepRule("depressurised", "Take the pressure off and tag the system", ("tag",)),
        StepRule(
            "seating", "Seating and torque as the manual says, once", ("document", "torque", "instrument")
        ),
        StepRule("looked_again", "Pressurise from a safe place, look again", ("seen", "from")),
        StepRule("replaced", "Replace the part that leaks", ("part", "serial_off", "serial_on", "release")),
        StepRule("looked_last", "Pressurise from a safe place, look again", ("seen", "from")),
    ),
    SequenceKind.CRACK: (
        StepRule("stopped", "Stop: the aircraft is not moved and not flown", ("tag",)),
        StepRule("marked", "Mark beside it, never on it, with a permitted marker", ("marker",)),
        StepRule("photo", "Photo with its place", ("place",), photo=True),
        StepRule(
            "ordered",
            "Order the non-destructive inspection from approved data",
            ("part", "serial", "material", "method", "data"),
        ),
        StepRule("result", "Result of the non-destructive inspection", ("result", "report")),
    ),
    SequenceKind.SERVICING: (
        StepRule("level_before", "Read the level in the position that the manual names", ("level",)),
        StepRule("filled", "Fill with what the plate names", ("fluid", "quantity", "batch")),
        StepRule("air_out", "Work the air out until none comes", ("sweeps",)),
        StepRule("level_after", "Read the level again, plug in and locked", ("level",)),
    ),
}


def rule_of(kind: SequenceKind, key: str) -> StepRule:
    """Return the rule of a step.

    Raises
    ------
    UsageError
        There is no such step.
    """
    for one in STEPS[kind]:
        if one.key == key:
            return one
    msg = f"A {kind.value} has no step {key!r}: its steps are {', '.join(one.key for one in STEPS[kind])}"
    raise UsageError(msg)


def next_step(kind: SequenceKind, done: Collection[Step]) -> StepRule | None:
    """Return the step that is to be done next, or None where the sequence is through."""
    told = {one.key: one.told for one in done}
    if kind is SequenceKind.LEAK and told.get("looked_again", {}).get("seen") == DRY:
        return None
    return next((one for one in STEPS[kind] if one.key not in told), None)


def is_through(kind: SequenceKind, done: Collection[Step]) -> bool:
    """Return whether every step that is needed was done; a leak that still leaks is not through."""
    return next_step(kind, done) is None and not still_leaks(done)


def still_leaks(done: Collection[Step]) -> bool:
    """Return whether it leaked after the part was replaced: a new sequence has to find the cause."""
    return any(one.key == "looked_last" and one.told["seen"] == LEAKS for one in done)


def crack_found(done: Collection[Step]) -> bool:
    """Return whether the non-destructive inspection found an indication: then only replacing helps."""
    return any(one.key == "result" and one.told["result"] == INDICATION for one in done)


def checked_step(
    kind: SequenceKind, done: Sequence[Step], key: str, told: Mapping[str, str], has_photo: bool
) -> dict[str, str]:
    """Return what is kept of a step.

    Raises
    ------
    Conflict
        It is not the next one: steps are not left out, and none is done twice.
    UsageError
        Something that the step asks for is missing.
    """
    rule, wanted = rule_of(kind, key), next_step(kind, done)
    if any(one.key == key for one in done):
        msg = f"{rule.words!r} was done, and it is done once: go on with the next step."
        raise Conflict(msg)
    if wanted is None or wanted.key != key:
        ahead = "all steps are done" if wanted is None else f"next is {wanted.words!r}"
        msg = f"{rule.words!r} is not the next step: {ahead}."
        raise Conflict(msg)
    if rule.photo and not has_photo:
        msg = f"{rule.words}: the photo is missing: take it first"
        raise UsageError(msg)
    kept = {name: checked_text(told.get(name, ""), _named(name)) for name in rule.tells}
    for name, value in kept.items():
        if value not in _CHOICES.get(name, (value,)):
            msg = f"{_named(name)} is one of {', '.join(_CHOICES[name])}, not {value!r}"
            raise UsageError(msg)
    if kept.get("method") == "magnetic particle" and kept.get("material") != FERROUS:
        msg = "Magnetic particles show nothing on a part that is not ferrous: order another method"
        raise UsageError(msg)
    return kept


def choices_of(name: str) -> tuple[str, ...]:
    """Return what a step's entry may be, empty where any words do."""
    return _CHOICES.get(name, ())


def _named(name: str) -> str:
    return name.replace("_", " ").capitalize()
