"""JSON Schemas of the case and the result document, and ``python -m engine.documents.schema``, which writes them.

The case's schema follows from the table of fields that the readers apply, the result's from the types of what the engine
returns, so that neither can say other than the program does. They stand beside this file as ``*.schema.json``.
"""
