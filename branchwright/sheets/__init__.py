"""Sheets: drawings and tables of a finished plan, one module each. Plan in, text out."""
