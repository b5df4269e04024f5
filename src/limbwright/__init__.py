"""Limbwright: linkages, limits and full-scale plots for wearable creature suits."""
