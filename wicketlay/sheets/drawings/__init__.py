"""What is drawn to scale on sheets: the lane, the zero, the ground from above, charts."""
