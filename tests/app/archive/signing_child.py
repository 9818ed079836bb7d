"""A process that signs when it is told to: ``python -m tests.app.archive.signing_child GROUND WHO TRY SEEN``."""

import sys

from app.errors import Conflict
from tests.app.records_house import PASSWORD, open_house
from tests.services.ground import ground_of


def main(words: str, who: str, try_id: str, seen: str) -> None:
    house = open_house(ground_of(words))
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
