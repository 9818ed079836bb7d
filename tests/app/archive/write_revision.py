"""Writes an archive of the present revision as SQL, to be kept: ``python -m tests.app.archive.write_revision``.

Run it once for each revision that is released, and never again for that one: the
file is what an archive of that time looked like.
"""

import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from app.archive.archive import DATABASE, KEY
from app.archive.keys import write_key
from tests.app.records_house import OUTSIDE, UNDECIDED, WITHIN, House, open_house, refusal

FOLDER = Path(__file__).resolve().parent / "revisions"
PHOTOS = [b"photo %d" % number for number in range(1, 5)] + [
    f"annotated {what}".encode() for what in (WITHIN, OUTSIDE, UNDECIDED, "refusal")
]
"""The bytes that the kept archives refer to."""


def put_key(home: Path) -> None:
    """Put the key beside an archive that signed those of the kept archives that are signed."""
    write_key(home / KEY, Ed25519PrivateKey.from_private_bytes(b"the key of the kept archives ..."))


def fill(house: House) -> None:
    """Have something of every kind happen."""
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    house.by_hand(house.mechanic, item, 89.0)
    house.sent(refusal())
    house.confirmed(OUTSIDE)
    house.measured(UNDECIDED)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        put_key(Path(folder))
        house = open_house(Path(folder))
        fill(house)
        house.archive.close()
        with closing(sqlite3.connect(Path(folder) / DATABASE)) as database:
            (revision,) = database.execute("SELECT version_num FROM alembic_version").fetchone()
            FOLDER.mkdir(exist_ok=True)
            text = "\n".join(database.iterdump()) + "\n"
    (FOLDER / f"{revision}.sql").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
