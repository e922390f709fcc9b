"""The local page: what a browser on this machine asks is answered by the same functions as the commands.

Nothing listens beyond the loopback address, nothing outside the folder it was started in is read or written.
"""
