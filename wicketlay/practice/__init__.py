"""How a layout changes, who shares it, and whether the practice fits the hour."""
