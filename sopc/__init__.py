"""sopc compiles an office's infection-control protocol into the paper that people work from."""

__version__ = "0.1.0"
