"""How a person runs: speed along a run, steps, and what is known of one athlete."""
