"""All that knows HTTP: reading requests, choosing formats, problems, headers, routes, the spec document."""
