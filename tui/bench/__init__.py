"""The state of the workbench: what keys change and screens show. Nothing here knows a screen."""
