"""What practice needs from outside; `app.archive` implements it."""

from abc import ABC, abstractmethod

from app.practice.model import Answer


class PracticeStore(ABC):
    """Where answers are kept: beside the records, and never in one."""

    @abstractmethod
    def keep(self, answer: Answer) -> None:
        """Keep an answer."""

    @abstractmethod
    def answers(self, person_id: str) -> tuple[Answer, ...]:
        """Return a person's answers, in the order of time."""
