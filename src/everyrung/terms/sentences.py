"""A first letter, where words begin a sentence or go on in one; the rest, "10 lb" or a name in it, stays as it is."""


def upper_first(words: str) -> str:
    """Words as they begin a sentence.

    >>> upper_first("a pair of 10 lb")
    'A pair of 10 lb'
    """
    return words[:1].upper() + words[1:]


def lower_first(words: str) -> str:
    """Words as they go on in a sentence.

    >>> lower_first("Push-up, hands on a chair")
    'push-up, hands on a chair'
    """
    return words[:1].lower() + words[1:]
