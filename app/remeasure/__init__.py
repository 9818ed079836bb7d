"""The present version run over archived photos: what would change, without touching a record.

question                                          file
which photos, with which leg data and options     tasks.py
one photo measured again                          again.py
in processes here, or on a cluster                local.py, cluster.py
what was done already, and what is left           journal.py
what would change                                 changes.py, table.py
a whole run                                       run.py
"""
