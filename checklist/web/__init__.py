"""The station's answers: the tablet app, the exchange, and pages for people."""
