"""From a record of daily weather to the ground of each winter; knows no web and no database."""
