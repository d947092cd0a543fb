"""Paper: pages in millimetres made from what was solved, and their drawing as PDF."""
