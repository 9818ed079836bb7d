"""Hoses searched for places that a person should look at; "no flag" never means "no wear".

Only a hose tapped at three places or more can count as searched.  Rules of light find what stands out on a
hose, a small network that was trained on rendered hoses names what lies there; both are kept, and
`network=False` leaves the second out.  Measured on composited and traced photos only.

question                                             file
two edges a hose's width apart, by direction         pairs.py
followed along, also through a crossing              track.py
which of these are hoses                             find.py, sides.py, ways.py
a hose that a person tapped                          tapped.py
centre line, straightened strip                      course.py
what is steady along a hose, taken away              ribbon.py
what goes right across                               bands.py
against what lies before and behind                  contrast.py
what stands out then                                 spots.py
what is no wear by its form                          aside.py
what a network calls it, the strip it is given       net.py, net_strip.py
both lists made one                                  by_net.py
several set aside close together                     joined.py
where the course is proven to be the tapped hose     proven.py, rounded.py
where it is sharp                                    sharp.py, shaken.py
what was seen at all                                 coverage.py
a second photo: what stays, what slides              pair.py, laid_on.py
sizes by a card beside it                            by_card.py
the answer                                           search.py, result.py
a hose out of the archive, laid straight again       stored.py
"""

from vision.hose.result import Coverage, Flag, Hose, Searched, to_json
from vision.hose.search import Tap, search_hoses

__all__ = ["Coverage", "Flag", "Hose", "Searched", "Tap", "search_hoses", "to_json"]
