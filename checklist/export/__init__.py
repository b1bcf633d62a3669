"""Hand out real cases in open forms: tables, FHIR R4, an SQLite file.

Practice cases never leave. What was not recorded is left empty and is never a no.
"""
