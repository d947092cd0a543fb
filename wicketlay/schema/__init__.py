"""The published schema of the JSON export."""
