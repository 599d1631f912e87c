"""What differs from board to board; change it here and nowhere else."""

SENSOR = "digital"  # or "thermistor"
DATA_PIN = 16  # digital: the pin with the sensor's data wire
ADC_PIN = 26  # thermistor: the pin at the middle of the divider
EVERY_MS = 10000  # one value in this time
KEEP_EVERY_MS = 60000  # one value in this time is kept while nobody listens
KEEP = 1500  # how many are kept: one a minute for a day
WATCHDOG_MS = 8000  # the board starts anew if the program hangs for this long
