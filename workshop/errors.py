"""The one exception for everything a maker can put right."""


class ShopError(Exception):
    """One clear sentence: what is wrong, where, and what would be right.

    It stands below every floor of the house, so that a calculator, a recipe file and a
    command all refuse in the same way: the screen shows the sentence, the command line
    prints it on standard error and ends with 2.
    """
