"""One reader of typed sizes, for every place where somebody types one: words in, what they may mean out."""
