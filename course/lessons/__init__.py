"""The lessons, one MyST notebook each, in modules; the glossary."""
