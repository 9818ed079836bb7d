"""The sheet's colours, RGB.

Verdicts take theirs from the palette of Okabe and Ito, "Color Universal Design"
(2008), told apart with any common colour vision (codes from memory).  Marks on the
photo carry no verdict colour: an edge is to be judged without knowing the verdict.
"""

Colour = tuple[int, int, int]

PAPER: Colour = (241, 239, 230)
INK: Colour = (20, 32, 40)
SOFT_INK: Colour = (52, 66, 74)
RULE: Colour = (158, 164, 160)
MARGIN: Colour = (214, 213, 206)  # beside a narrow picture, and beyond its border

MARK: Colour = (150, 226, 255)
HALO: Colour = (8, 20, 30)

BLUE_GREEN: Colour = (0, 158, 115)
VERMILION: Colour = (213, 94, 0)
AMBER: Colour = (230, 159, 0)
GREY: Colour = (108, 116, 120)
