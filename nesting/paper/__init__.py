"""A plan on paper and on disk: tables for spreadsheets, and the folder that holds them."""
