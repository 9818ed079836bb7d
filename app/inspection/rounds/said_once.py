"""Names put together without saying a word twice, as lists and messages show them."""


def named(kind: str, name: str) -> str:
    """Return a kind with a name: ``"Scale card"`` and ``"card 3"`` give ``"Scale card 3"``."""
    told, given = kind.split(), name.split()
    if told and given and told[-1].casefold() == given[0].casefold():
        given = given[1:]
    return " ".join([*told, *given])


def placed(place: str, text: str) -> str:
    """Return where a fault is and what: a title that ends the place is not said again by the text."""
    title, colon, rest = text.partition(": ")
    return f"{place}: {rest}" if colon and place.endswith(title) else f"{place}: {text}"


def number_of(count: int, one: str, more: str) -> str:
    """Return ``"1 item waits"`` or ``"3 items wait"`` from the words of one and of more."""
    return f"{count} {one if count == 1 else more}"
