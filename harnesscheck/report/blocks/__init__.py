"""What every report is made of, and what turns it into text, a page, a table for a spreadsheet."""
