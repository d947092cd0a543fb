"""The page: its model in millimetres, text and tables set on it, its fonts, its drawing as PDF."""
