"""Motionlabel: which muscles work, and how, in footage of a person exercising."""

__version__ = "0.1.0"
