"""What the assistant knows: units, menus, kitchens, tables and the phrase book.

Imports nothing from the other two packages. Data lives in files beside the code.
"""
