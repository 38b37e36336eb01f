"""Questions to the library: suggest, plan, predict, compare, find, show, explain, delivery."""
