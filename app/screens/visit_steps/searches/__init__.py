"""Hoses and surfaces searched on photos: from the photo to what is entered, one step after the other.

``&draft=…`` one photo of the item, with ``&place=…`` one place on it; ``&part=…`` what is not one photo's.

question                                                       file
where a person is, what comes next                             way.py
the item's own page: photos, what is left, a new photo         overview.py
what they say of hoses, and of a surface                       words.py
the photo's way in, the hoses shown along it, the search       photo.py
the region of a surface shown by its corners                   region.py
what is seen on the bare photo                                 marking.py
one place, five answers                                        judging.py
what was set aside                                             aside.py
what was not searched, and how it was inspected instead        cover.py
hand, mirror and light; what could not be told                 by_hand.py
limits and entering                                            entering.py
the second person's own                                        second.py
"""
