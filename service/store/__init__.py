"""The database: an SQLite file, or PostgreSQL when several offices share it.

Keeps what service.scenarios asks for and decides nothing. No other part knows SQLAlchemy.
"""
