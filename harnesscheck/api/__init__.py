"""What every command does between its options and its printing, for programs as well.

Nothing here prints or exits: what cannot be is raised as one ``InputError`` with all its faults.
"""
