"""The page: the whole job in a browser, on her own machine. A thin shell over the desk."""
