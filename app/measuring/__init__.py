"""Photos measured: what is told beside the photo, and the work in a process of its own.

question                                           file
what is measured with which knowledge              strut_request.py
bytes in, result and annotated copy out            job.py
the process that does it                           child.py
starting, asking and replacing that process        worker.py
which tries wait to be measured                    jobs.py
"""
