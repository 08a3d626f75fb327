"""The page: one file that shows a unit, or a change before and after, in every state."""
