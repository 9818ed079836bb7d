"""Everything around the measurements: commands, and later screens, archive and record.

`app` knows nothing of pixels: it hands bytes and leg data to `vision` and gets results.
"""
