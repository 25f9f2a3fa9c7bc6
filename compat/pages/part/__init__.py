"""One part of the catalogue, drawn, with what it fits."""
