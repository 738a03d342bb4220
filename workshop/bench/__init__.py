"""The bench: one Textual program, its screens and its panes."""
