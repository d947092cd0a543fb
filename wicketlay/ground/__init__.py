"""Where marks lie on a real surface, and what a tape reads at them."""
