"""The dry run: rehearse the practical before the sugar is hot.

A state, an action, the next state; what is seen, read and felt; the cake at the end and
why it came out so.  Nothing here knows a right answer: what follows is worked out.
"""
