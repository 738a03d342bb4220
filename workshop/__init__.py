"""A bench companion for one knifemaker."""

__version__ = "0.1.0"
