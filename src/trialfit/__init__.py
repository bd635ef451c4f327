"""trialfit: pipework for a live-steam model that is far away, and whether it will go on."""

__version__ = "0.1.0"
