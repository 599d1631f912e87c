"""The class screen and the lessons: what a whole class may see, without a team and before any finding."""
