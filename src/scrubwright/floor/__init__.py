"""From a floor plan to a route that a driver can follow: free floor, lanes, turns, sequence, coverage."""
