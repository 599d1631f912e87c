"""Ground floor: time, temperature, uncertainty, statistics, sun; nothing here knows the project."""
