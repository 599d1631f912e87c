"""What a person or another tool sees: the page, the document, the tables, the pictures.

Every view takes an ``Assessment`` and changes nothing in it; every sentence stands in ``wording``.
"""
