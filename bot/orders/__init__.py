"""What a keeper tells the hand itself or says in a whole sentence: the room, its stock, words, names, sales."""
