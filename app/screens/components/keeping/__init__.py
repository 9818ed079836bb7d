"""What a person typed into a page's fields, kept over reload, sleep and dead spots; `keep_typed` in `widget`.

Question -> file: what Python says `widget.py`; listening, putting back, forgetting
`main.js`; where it is kept `typed.js`; which fields `fields.js`; what is told
`widget.html`.
"""
