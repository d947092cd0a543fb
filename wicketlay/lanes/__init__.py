"""Who runs on which marks: layings, sharing, stages, and what is left of the bag."""
