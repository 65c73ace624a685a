"""Units, kinds of quantity, the formula declaration and the sheet."""
