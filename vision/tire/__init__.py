"""A tire on its wheel, on one photo: its line against level, its slip on the rim, its sizes.

Question -> file: the whole way through a photo `measure`; which circle is the flange and which root
is true `wheel`, `trial`; a card held against it `carded`; the tire's outline `outline`; the sidewall's
surface `profile`, its light `light`, what the outline and a line tell of it `section`, `straight`; where it
meets the ground `contact`, `contact_step`, `crevice`; who tells level `levels`; the pressure line `line`,
`line_pieces`; the slip mark `creep`, `mark_search`, `mark_parts`; a quantity with its budget `quantity`,
`readings`; where it was read `evidence`; a person's marks on the bare photo `placed`, by the geometry of
the reading `geometry`.
"""

from vision.tire.levels import Told
from vision.tire.measure import TireMeasurement, asked, measure_tire

__all__ = ["TireMeasurement", "Told", "asked", "measure_tire"]
