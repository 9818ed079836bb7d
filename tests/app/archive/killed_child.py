"""A process that stores photos and confirms them until it is killed: ``python -m tests.app.archive.killed_child GROUND``.

It loads everything once; for each number that comes on standard input it forks a
child that works with this number as its seed.  Both write lines of JSON, each in
one write, so that none is cut in two: what stands in a line is acknowledged.
"""

import json
import os
import random
import sys
import time
import traceback
from datetime import timedelta

from app.inspection import ItemState
from tests.app.records_house import PASSWORD, STATED, WITHIN, House, open_house, reading
from tests.services.ground import Ground, ground_of

LONGEST_S = 60


def say(*words: object) -> None:
    os.write(1, (json.dumps(words) + "\n").encode())


def work(ground: Ground, seed: int) -> None:
    """Go on wherever the one before was killed, and never end."""
    photos = random.Random(seed)
    house = open_house(ground)
    # Time goes on between the kills; a password that was being checked counts as wrong until it waited.
    house.clock.at += timedelta(hours=1 + seed)
    say("open")
    ends = time.monotonic() + LONGEST_S
    while time.monotonic() < ends:
        for left in house.inspections.unfinished():
            house.inspections.measured(left.id, reading(WITHIN))
        opened = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
        items = house.inspections.items(opened.id)
        (item,) = (one for one in items if one.leg_id == house.primary.id)
        if item.state is ItemState.TO_DO:
            _photograph(house, photos.randbytes(100_000))
        elif item.state is ItemState.WAITING:
            _confirm(house)
        else:
            house.inspections.close_inspection(house.inspector, opened.id)


def _photograph(house: House, photo: bytes) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    stored = house.inspections.photo_arrived(house.mechanic, begun.id, photo)
    say("stored", stored.id, stored.photo)
    house.inspections.measured(begun.id, reading(WITHIN))
    house.inspections.send(house.mechanic, begun.id)


def _confirm(house: House) -> None:
    (waiting,) = house.inspections.queue(house.inspector)
    if house.inspections.bare(house.inspector, waiting.try_id).mine is None:
        house.inspections.place(house.inspector, waiting.try_id, (0, 0), (0, 890))
    shown = house.inspections.comparison(house.inspector, waiting.try_id)
    signed = house.inspections.confirm(house.inspector, waiting.try_id, PASSWORD, shown.record_hash or "")
    say("confirmed", signed.id, signed.event_hash)


def main(ground: Ground) -> None:
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            try:
                work(ground, int(line))
            except BaseException:
                traceback.print_exc()
            os._exit(1)
        say("child", child)
        _, status = os.waitpid(child, 0)
        say("ended", os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0)


if __name__ == "__main__":
    main(ground_of(sys.argv[1]))
