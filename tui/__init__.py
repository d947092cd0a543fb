"""The workbench in the terminal. It composes, binds and routes, and computes nothing."""
