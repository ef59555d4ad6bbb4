"""The page of the dry run: it shows what the model says, and knows no physics."""
