"""The texts of the program and their translations; ``manage.py messages``."""
