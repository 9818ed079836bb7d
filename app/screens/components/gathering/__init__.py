"""The widget that brings many photos from a phone's gallery to the server; `send_photos` in `widget`.

Question -> file: what Python says and gets `widget.py`; picked, sent, answered
`main.js`; the photos kept on the phone `journal.js`; what is shown `panel.js`; every
sentence `words.js`; one try at sending `../sending/upload.js`.
"""
