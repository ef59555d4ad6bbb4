"""A lesson and a kitchen become an executed notebook."""
