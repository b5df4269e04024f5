"""Builders: the limbs of a suit into bodies, joints and closures."""
