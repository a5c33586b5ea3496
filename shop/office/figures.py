"""From how many on the office tells a mean or a share. PURE."""

FEWEST = 3  # of fewer it would be an anecdote
