"""What people are given of a costing: tables, workbooks, pictures, made from its document alone."""
