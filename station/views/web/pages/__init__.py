"""The pages, one module each: a frozen dataclass that holds all a template may use, and what makes it."""
