"""Lessons, and the generator that makes a course of them: the top floor."""
