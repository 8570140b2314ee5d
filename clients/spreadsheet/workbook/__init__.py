"""The example workbook: what is in its cells, and the two kinds of file it is written as."""
