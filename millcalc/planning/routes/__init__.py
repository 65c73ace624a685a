"""Routes: the operations of a part, one after the other, from one file; and the search of a drawer of cutters."""
