"""What a coach can write: each table of a file and how each value in it is read and written."""
