"""All that is written to disk: whole files, locks, a plan's sidecar, saves of several files.

What only some systems have (locks, permissions of open files, flushed folders) is used where it
is there.
"""
