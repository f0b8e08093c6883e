"""A winter as it was, told on a phone: a form that an edit link opens and that needs no scripts."""
