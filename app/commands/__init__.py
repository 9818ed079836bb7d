"""The commands: each module has `HELP`, `configure(parser)` and `run(options) -> exit status`.

question                                           file
measure one photo                                  measure.py
print cards and leg tags                           cards.py
measure the demo photos                            demo.py, demo_photos.py, demo_table.py
what is measured with which knowledge              strut_request.py
how a result reads                                 words.py
numbers on the command line                        numbers.py
files read and written                             files.py
"""
