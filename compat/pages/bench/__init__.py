"""The bench: type a stack, see at once whether it can be built."""
