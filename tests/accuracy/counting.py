"""A job that another process can import, for the test of many jobs: pytest's own modules it cannot."""

from tests.accuracy.jobs import Row


def job(number: int) -> Row:
    """Return the row of a number and its square."""
    return {"number": number, "square": number * number}
