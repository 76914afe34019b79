"""Outputs: each is a function ``(study, options, path) -> list of written paths``."""
