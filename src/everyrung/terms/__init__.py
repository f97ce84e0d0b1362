"""The words of the trade as frozen, validated dataclasses. Standard library only; imports nothing above it."""
