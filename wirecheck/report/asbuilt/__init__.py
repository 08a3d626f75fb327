"""A unit file as a change leaves it: the user's text, edited where the change touched it."""
