"""The drawer: every calculator, each declared once as data."""
