"""What the service does when something breaks: tried on real processes, sockets and file systems."""
