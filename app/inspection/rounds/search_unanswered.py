"""What a hand found wrong on an item and nobody has answered: no item closes on that.

A fault by hand is entered beside photos, by whoever looks there.  It is answered once an answer that
says fault, or a signed look that does, is given after it: that opened its discrepancy.  Who found it may
enter anew that nothing is wrong; nobody else says so for him.
"""

from collections.abc import Iterable, Mapping

from app.errors import Conflict, UsageError
from app.inspection.model import Item, Person
from app.inspection.ports import Reader
from app.inspection.rounds.model import Answer, Finding, HandEntry, Judged, Look
from app.inspection.rounds.search_rules import ACTS
from app.inspection.rounds.search_words import hand_said, is_wet

Answered = tuple[tuple[HandEntry, Judged], ...]
"""Faults that other people's hands found, with what who answers the item takes each for."""


def unanswered_by_hand(r: Reader, item: Item) -> tuple[HandEntry, ...]:
    """Return the entries by which anybody's hand found something wrong that no answer tells of yet."""
    faults = [one for one in r.all(HandEntry, item_id=item.id) if one.finding is Finding.FAULT]
    if not faults:
        return ()
    answers = r.all(Answer, item_id=item.id)
    told = [one.at for one in answers if one.finding is Finding.FAULT]
    told += [
        look.at
        for one in answers
        for look in r.all(Look, answer_id=one.id)
        if look.finding is Finding.FAULT and look.signature_id is not None
    ]
    last = max(told, default=None)
    return tuple(sorted((one for one in faults if last is None or one.at > last), key=lambda one: one.at))


def of_others(r: Reader, person: Person, item: Item) -> tuple[HandEntry, ...]:
    """Return those of them that another person entered: his own are in his answer by themselves."""
    return tuple(one for one in unanswered_by_hand(r, item) if one.person_id != person.id)


def is_wet_by_hand(r: Reader, item: Item) -> bool:
    """Return whether a hand found fluid that nobody has answered: a fault that is answered is a leak then."""
    return any(is_wet(one) for one in unanswered_by_hand(r, item))


def require_none_by_hand(r: Reader, person: Person, item: Item) -> None:
    """Refuse to pass by with "nothing wrong" what a hand found, be it another person's.

    Raises
    ------
    Conflict
        It tells what was found, and what to do.
    """
    for wrong in unanswered_by_hand(r, item):
        who = "you" if wrong.person_id == person.id else "another person"
        msg = f"By hand {who} found something wrong ({hand_said(wrong)}): open a discrepancy for it."
        raise Conflict(msg)


def answered_by(found: Iterable[HandEntry], said: Mapping[str, Judged] | None) -> Answered:
    """Return what other people's hands found with what a person takes it for, by the entry's id.

    Raises
    ------
    Conflict
        One is not answered.
    UsageError
        One is taken for something that needs no action.
    """
    kept = []
    for one in found:
        judged = (said or {}).get(one.id)
        if judged is None:
            msg = (
                f"By hand another person found something wrong ({hand_said(one)}), and nobody has answered "
                "it: say whether it is wear or fluid. A discrepancy is opened for it."
            )
            raise Conflict(msg)
        if judged not in ACTS:
            msg = (
                f"What another person's hand found ({hand_said(one)}) is wear or fluid: if it is neither, "
                "have him enter anew what he finds there."
            )
            raise UsageError(msg)
        kept.append((one, judged))
    return tuple(kept)


def why_not_closed(r: Reader, item: Item) -> str:
    """Return why an item may not close on what two people answered, or an empty string."""
    found = unanswered_by_hand(r, item)
    if not found:
        return ""
    return (
        f"by hand something wrong was found ({hand_said(found[0])}) and nobody has answered it: who found it "
        "stores and signs his own look, or the answer is corrected and says what is wrong"
    )


def with_others(r: Reader, person: Person, item: Item, text: str) -> str:
    """Return the words of a fault with what other people's hands found: its discrepancy tells of both."""
    others = [f"By hand another person found: {hand_said(one)}" for one in of_others(r, person, item)]
    return ". ".join(one.rstrip(".") for one in (text, *others)) if others else text
