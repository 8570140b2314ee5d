"""Pages for people: home, embedded answers, reference and the web element."""
