"""Practice in a table of its own: the port `PracticeStore`.  No chain tells of it, and no export holds it."""

from sqlalchemy import insert, select

from app.archive.records import SqlRecords
from app.archive.tables import practice_answers
from app.practice.model import Answer
from app.practice.ports import PracticeStore


class SqlPractice(PracticeStore):
    """Answers in the same database as the people."""

    def __init__(self, records: SqlRecords) -> None:
        self._records = records

    def keep(self, answer: Answer) -> None:
        """Keep an answer."""
        with self._records.aside() as connection:
            connection.execute(insert(practice_answers).values(**vars(answer)))

    def answers(self, person_id: str) -> tuple[Answer, ...]:
        """Return a person's answers, in the order of time."""
        mine = practice_answers.c.person_id == person_id
        query = select(practice_answers).where(mine).order_by(practice_answers.c.at, practice_answers.c.id)
        with self._records.look() as r:
            return tuple(Answer(**row._mapping) for row in r.connection.execute(query))
