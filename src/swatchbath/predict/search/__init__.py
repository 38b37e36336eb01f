"""From a wanted shade to baths: what is asked, what may be suggested, and what is."""
