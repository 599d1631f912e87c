"""The console: the teacher's pages, the class screen and the pupils' page, served from this machine only."""
