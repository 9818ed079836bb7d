"""Practice on rendered scenes of known truth: shown, answered, scored at once, and never in a record.

This room knows nothing of inspections, tries or events, and its answers stand in a table
of their own that no chain tells of.

question                                         file
which scenes there are                           cases.py
what is shown of a machine, and when wrongly     drawing.py
hits, misses, wrong values followed (pure)       scoring.py
what there is                                    model.py
what is needed from outside                      ports.py
draw a case, answer it, look back                service.py
"""

from app.practice.cases import Case, cases, photo_of
from app.practice.model import Answer, Choice, Shown
from app.practice.scoring import HIT_MM, Score, score
from app.practice.service import Practice

__all__ = ["HIT_MM", "Answer", "Case", "Choice", "Practice", "Score", "Shown", "cases", "photo_of", "score"]
