"""O-rings and their glands: sizes, squeeze, stretch and fill, compounds and shelf life."""
