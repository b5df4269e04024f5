"""The doors: command line now, the page later; no mechanics here."""
