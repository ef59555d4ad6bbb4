"""The pictures of the lessons, a file a module; all in the style of ``figures``.

Each function takes quantities, draws one message and returns a ``Picture`` with
its caption and with words for what is seen.
"""
