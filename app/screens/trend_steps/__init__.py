"""Parts of the page of a trend."""
