"""Free paper: how it comes to rest among what it may not pass, stage after stage."""
