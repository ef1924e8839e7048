"""Descriptions of habits in; electricity and hot water per step of one time axis out."""
