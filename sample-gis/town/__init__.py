"""The parts of make_town.py: land, streets, sewers, inspections, dirt, writing."""
