"""A garden's records in and out as spreadsheets: read, checked, stored all or nothing, and written again.

From the bottom: problems; sheet, from_csv, from_xlsx; cells, numerals, calendar; columns; rows; references;
storing; importing and exporting. docs/records.md describes the files for the people who fill them in.
"""
