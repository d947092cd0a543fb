"""The drills: a specification and a runner in, a layout of marks out."""
