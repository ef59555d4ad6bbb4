"""The physics of the bench: quantities in, quantities out.

The ground floor of Glossbook.  It needs pint and nothing else, so the same code
runs in a lesson, in marking and in the reader's browser; only ``figures`` (which
is never imported from here) needs matplotlib.
"""
