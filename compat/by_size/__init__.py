"""Parts of the catalogue by any measured size: the only reader of the shelf for it, and its answer."""
