"""What the words around a head do to it: denied, doubted, of earlier, reported, compared."""
