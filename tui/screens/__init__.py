"""The screens, one module each with its own style sheet."""
