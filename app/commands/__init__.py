"""The commands: each module has `HELP`, `configure(parser)` and `run(options) -> exit status`.

question                                           file
measure one photo                                  measure.py
print cards and leg tags                           cards.py
the demo, served or only measured                  demo.py, demo_photos.py, demo_table.py, demo_tires.py
the program in a browser                           serve.py, server.py
who works with it, which legs there are            enter.py
an inspection programme shown or checked           programme.py
how a result reads                                 words.py
numbers on the command line                        numbers.py
files read and written                             files.py
"""
