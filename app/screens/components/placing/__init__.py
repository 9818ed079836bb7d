"""The widget on which a person places named marks, or as many as he wants, on a photo; both in `widget`.

Question -> file: what Python says and gets `widget.py`; what a finger, key or button
does `main.js`, told apart in `gestures.js` and `keys.js`; the marks and the way back
`marks.js`; which part of the photo is seen `view.js`; its pieces and their loading
`tiles.js`; what is painted when `picture.js`, and how `draw.js`; what stands around
the photo `panel.js`; every sentence `words.js`; what outlives a reload `keeping.js`.
"""
