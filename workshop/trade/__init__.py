"""The trade's arithmetic: pure functions on SI floats.

Nothing here knows a unit, a file, a screen or the time of day. Each public function
says its equation, its units, where it holds and where it was published.
"""
