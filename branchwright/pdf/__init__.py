"""Sheets as PDF: display lists and papers on pages of a set size, ready to print."""
