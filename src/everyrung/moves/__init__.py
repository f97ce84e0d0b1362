"""The move library, the levers that change a form, and the ladder of rungs."""
