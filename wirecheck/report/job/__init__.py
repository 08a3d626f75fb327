"""The job sheet and the card for the panel door: records to blocks, blocks to Markdown and to a page."""
