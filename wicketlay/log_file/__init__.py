"""Files of what was run: the practice log, and times that others wrote down."""
