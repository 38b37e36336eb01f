"""Deliveries of a dyestuff: how lots differ, and the correction for a new one."""
