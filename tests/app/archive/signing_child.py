"""A process that signs when it is told to: ``python -m tests.app.archive.signing_child HOME WHO TRY SEEN``."""

import sys
from pathlib import Path

from app.errors import Conflict
from tests.app.records_house import PASSWORD, open_house


def main(home: str, who: str, try_id: str, seen: str) -> None:
    house = open_house(Path(home))
    person = house.people.find(who)
    print("ready", flush=True)
    sys.stdin.readline()
    try:
        signed = house.inspections.confirm(person, try_id, PASSWORD, seen)
        print(f"won {signed.confirmer_id}", flush=True)
    except Conflict as error:
        print(f"lost {error}", flush=True)
    house.archive.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
