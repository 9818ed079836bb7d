"""Readings over time and people beside the program; pure rules on plain numbers, no database, no screens.

question                                           file
what a reading over time is                        points.py
does it drift, when might it reach the limit       drift.py
what load and temperature account for at most      air_spring.py
people against the program, by software version    by_version.py
"""

from app.trends.air_spring import CONVENTION, AirSpring, AtMost, at_most
from app.trends.by_version import Agreement, HumanBy, Pair, Share, agreements, wear_by_grade
from app.trends.drift import Drift, NoDrift, Reach, Refused, drift
from app.trends.points import Point, Source

__all__ = [
    "CONVENTION",
    "Agreement",
    "AirSpring",
    "AtMost",
    "Drift",
    "HumanBy",
    "NoDrift",
    "Pair",
    "Point",
    "Reach",
    "Refused",
    "Share",
    "Source",
    "agreements",
    "at_most",
    "drift",
    "wear_by_grade",
]
