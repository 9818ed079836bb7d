"""What leaves the archive to be read without it: the export's folder, and the way back in.

question                                                file
the folder: what lies where                             folder.py
an inspection's entries as record.json, its schema      entries.py, record.schema.json
pages that any browser opens                            pages.py, try_part.py, others.py
their markup and look, their words                      page_parts.py, style.css, words.py
marks on the photos as W3C Web Annotations              annotations.py
is an export whole: a script that needs nothing of us   verify_export.py
its photos, and copies without place and faces          files.py, copies.py
an export read again, checked, to be imported           reading.py
the work record as PDF/A: what goes in, what it is      work.py, pdf.py
its pages of legs, its words, its paper                 pdf_legs.py, pdf_words.py, pdf_sheet.py
"""
