"""Write, check and approve the words of a language; files only, no Flask, no network."""
