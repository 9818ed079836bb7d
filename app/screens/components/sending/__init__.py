"""The widget that brings a photo to the server whatever the network does; `send_photo` in `widget`.

Question -> file: what Python says and gets `widget.py`; the way from picking to the
result `main.js`; one try at sending `upload.js`; what the server knows of the draft
`draft.js`; the photo on the phone `outbox.js`; what is shown `panel.js`; every
sentence `words.js`.
"""
