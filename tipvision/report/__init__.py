"""Reports of a reading: lines for a terminal, one page for a browser or a printer."""
