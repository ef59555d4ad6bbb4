"""Plates: pictures of glazes and of the work, rendered from numbers and never photographed.

A plate is a few lines of ``exercises/craft/plates.toml``: shape, glaze, state, light and
the lengths behind it.  ``python -m course.kit.plates`` renders what is missing.  Only
``studio`` and ``shoot`` need the extra ``plates``; a course needs only the files.
"""
