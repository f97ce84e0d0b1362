"""The run sheet: one tree of content, a page for screens and one for print."""
