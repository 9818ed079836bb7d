"""The steps of a confirmation: the person's own reading on the bare photo, then everything side by side."""
