"""Every sentence that a measurement can say to a person, in one registry.

`NOTES` are remarks beside a reading; `REMEDIES` are the causes of a refusal,
each with exactly one thing to do.  Codes are stored in archives for years: a
test freezes them, new ones are added and old ones never change their meaning.

sentences about                                      file
a reading or a search that was made                  remarks.py
a photo, its card, its strut                         photo.py
a wheel, its tire, what is level                     wheel.py
what a person placed, calibration, two views         person.py
hoses and surfaces searched                          searched.py
what a sentence is                                   registry.py
"""

# Each room's sentences are asked for as `notes.NAME`, wherever they are written down.
from vision.notes.person import *
from vision.notes.photo import *
from vision.notes.registry import HAND as HAND
from vision.notes.registry import NOTES as NOTES
from vision.notes.registry import REMEDIES as REMEDIES
from vision.notes.registry import Note as Note
from vision.notes.registry import Remedy as Remedy
from vision.notes.remarks import *
from vision.notes.searched import *
from vision.notes.wheel import *
