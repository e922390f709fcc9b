"""Published facts of the trade as data, with their sources, and small functions over them."""
