"""What a sentence is, and the one list that each of them is entered in."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Note:
    """A remark on a photo or a reading: a stable code and a sentence."""

    code: str
    text: str


@dataclass(frozen=True)
class Remedy:
    """Why there is no value, and the one thing to do about it."""

    code: str
    reason: str
    advice: str


NOTES: dict[str, Note] = {}
REMEDIES: dict[str, Remedy] = {}


def note(code: str, text: str) -> Note:
    """Enter a remark; a code has the text that it was given first."""
    return NOTES.setdefault(code, Note(code, text))


def remedy(code: str, reason: str, advice: str) -> Remedy:
    """Enter a cause of refusal; a code has the words that it was given first."""
    return REMEDIES.setdefault(code, Remedy(code, reason, advice))


HAND = "Measure this strut by hand with a rule."
