"""The results of a costing as a workbook, with charts, inputs, sources and workings in words."""
