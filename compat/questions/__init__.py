"""One room a question: what it asks, how it answers, its words, its picture. Found by being here."""
