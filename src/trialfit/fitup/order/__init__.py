"""In which order parts come off an engine and go on again, and why where there is none."""
