"""``python -m tests.vision.surface.pair_figures --pairs 40``: what a second photo keeps and what it sets aside.

Drawn pairs of a flat, stained surface with one rub and one mirrored lamp, whose image slides by half of the
phone's way, as a lamp's does that hangs as far away as the phone.
"""

import argparse

import numpy as np

from tests.accuracy.stats import Share
from tests.vision.surface.test_surface_pair import AWAY_MM, LAMP, REGION, RUB, kinds, view
from vision.results import Refusal
from vision.surface.pair import search_surface_pair


def main() -> None:
    """Search the pairs and print the shares."""
    parser = argparse.ArgumentParser(prog="python -m tests.vision.surface.pair_figures", description=__doc__)
    parser.add_argument("--pairs", type=int, default=40)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    rub_seen = rub_lost = lamp_seen = lamp_gone = refused = 0
    for k in range(asked.pairs):
        rng = np.random.default_rng([515, asked.seed, k])
        way = float(rng.choice([-1, 1]) * rng.uniform(80, 180))
        turn = float(np.degrees(np.arctan(way / AWAY_MM)) * rng.uniform(0, 1.2))
        rub, lamp = float(rng.uniform(0.15, 0.6)), 0.5 * way
        found = search_surface_pair(
            view(0, rub=rub, seed=k), view(way, turn, rub=rub, lamp=lamp, seed=k), REGION
        )
        if isinstance(found, Refusal):
            refused += 1
            continue
        at_rub, at_lamp = kinds(found, RUB), kinds(found, LAMP)
        rub_seen, rub_lost = rub_seen + bool(at_rub), rub_lost + ("slides" in at_rub)
        lamp_seen, lamp_gone = lamp_seen + bool(at_lamp), lamp_gone + ("slides" in at_lamp)
    print(f"refused: {refused} of {asked.pairs}")
    print(f"rubs set aside as sliding: {Share(rub_lost, max(rub_seen, 1))}")
    print(f"mirrored lamps set aside as sliding: {Share(lamp_gone, max(lamp_seen, 1))}")


if __name__ == "__main__":
    main()
