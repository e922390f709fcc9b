"""From the pages of a manual to rows of pins: text, tables of a web page or a workbook, PDF pages, pictures.

``sources`` makes grids of cells of a file's bytes, ``layout`` says which column of
a grid is which field, ``pinlist`` makes rows of it, ``read`` does all three and puts
several files and pages together. ``netlist`` makes a netlist of the rows. Every
step is a pure function of bytes; nothing is fetched and no script is run.
"""

from harnesscheck.read.pages.read import Given, read_pages

__all__ = ["Given", "read_pages"]
