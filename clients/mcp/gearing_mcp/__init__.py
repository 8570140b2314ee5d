"""The drivability service as tools for assistants, over the Model Context Protocol."""
