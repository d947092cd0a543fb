"""The panes that screens are made of."""
