"""The page of the dry run: it shows what the model says, and knows no physics."""

TITLE = "The dry run"
DOC = "dry-run"  # its page, at the top of a site
