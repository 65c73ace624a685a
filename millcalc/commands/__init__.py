"""The commands of the command line, one a module.

`add` states a command's words; its run function returns the text to print, or the text and the exit status.
"""
