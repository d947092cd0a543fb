"""What is shown, as text: every number comes from what was solved and is only formatted."""
