"""Executed notebooks become a site."""
