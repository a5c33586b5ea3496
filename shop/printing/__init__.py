"""Which printer a station prints on, and what waits for a printer."""
