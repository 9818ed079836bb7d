"""What is inspected on a leg, in which order and how: a programme's file, checked and frozen.

`load_programme` reads a shop's own, `supplied_programme` the one that comes with
the program.  A programme holds no limits: those are the leg's and the document's.

question                                              file
what a programme, an item, a caution is               model.py
the supplied programme                                oleo_retractable.toml
which keys a file may hold                            keys.py
a file read, every fault told at once                 read.py, table.py, content.py
does it fit together                                  consistent.py
a fault, and in which line it stands                  faults.py, lines.py
what a programme's version is                         version.py
"""

from app.programme.model import (
    TWIN,
    WHEELS,
    Caution,
    Condition,
    Excluded,
    Feature,
    Group,
    Item,
    ItemCondition,
    LimitKind,
    Method,
    Programme,
    SeenBy,
    SeenFrom,
    Statement,
    Where,
)
from app.programme.read import (
    load_programme,
    load_text,
    read_programme,
    supplied_programme,
    supplied_text,
)

__all__ = [
    "TWIN",
    "WHEELS",
    "Caution",
    "Condition",
    "Excluded",
    "Feature",
    "Group",
    "Item",
    "ItemCondition",
    "LimitKind",
    "Method",
    "Programme",
    "SeenBy",
    "SeenFrom",
    "Statement",
    "Where",
    "load_programme",
    "load_text",
    "read_programme",
    "supplied_programme",
    "supplied_text",
]
