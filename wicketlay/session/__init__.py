"""The hour: efforts, recoveries, who runs when, and does it fit."""
