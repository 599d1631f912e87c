"""The sentences that recording and set-up say to a person, in one place, to change or translate.

They stand here and not in ``views/wording*``, as the line may not look up to the views. Why a line was
refused is said beside the pattern that refuses it. Words in braces are filled in and may be moved but not
renamed.
"""

from __future__ import annotations

# What goes on while recording
LOOKING = "looking for the probe: {why}"
NO_PORT = "no port looks like one"
CONNECTED = "connected to {url}, waiting for a value"
RECORDING = "recording from {url}"
RECORDING_AS = "recording from {url} ({speaks})"
SILENT = "connected to {url}, but no value for {seconds:.0f} s"
OTHER_DEVICE = "another device seems to talk on {url}; its lines are kept aside"
ASKS = "{question} (stop, and answer it once with: station setup BOOK)"
HELD = "{trouble}; recent values are kept in memory"
WHICH = "which of these is the outdoor temperature: {told}?"
THE_NUMBER = "the number"
STATE = "{told}{last}; {values} values, {refused} lines refused{held}{dropped}"
STATE_LAST = ", last {celsius:.2f} °C"
STATE_HELD = ", {n} held in memory"
STATE_DROPPED = ", {n} lost for want of memory"

# Ports
CANNOT_OPEN = "{url} cannot be opened ({why})"
TAKEN = "another program has it open"
GONE = "{url} is gone ({why})"
USB = "a USB lead or board ({description})"
BLUETOOTH = "a Bluetooth port"
BUILT_IN = "a built-in port"

# What the steps of the set-up found
NO_VALUE = "No value came. Is the lead plugged in, and is this the probe's port?"
STRANGE = "{value:.2f} °C is a strange value for air. Is it in Fahrenheit?"
SHOWS = "The probe shows {value:.2f} °C."
HAND_NO_VALUE = "No value came while the tip was held."
HAND_ROSE = "It rose by {rise:.1f} °C: this is the tip in the hand."
HAND_WARM_ALREADY = "It rose by {rise:.1f} °C, but it was warm already: try where it is cooler."
HAND_ONLY = "It rose by only {rise:.1f} °C: is another probe on this port?"
ICE_TOO_FEW = "Too few values to tell: leave it in the ice for two minutes."
ICE_CHANGES = "It still changes: stir, and leave it in the ice for longer."
ICE_FAHRENHEIT = "{value:.2f} in ice: this probe prints Fahrenheit. Say so in the set-up."
ICE_TOO_FAR = "{value:.2f} °C in ice is too far off for a correction."
ICE_CORRECTION = (
    "{value:+.2f} °C in ice, so {correction:+.2f} °C is added to every value (give or take {within:.2f})."
)
SOAK_TOO_SHORT = "Too short to tell: it needs ten minutes."
SOAK_JUMPS = "It jumps by {jump:.2f} °C from value to value: look at plugs and joints."
SOAK_MOVED = "It moved by {drift:+.2f} °C in ten minutes: was the air or water still?"
SOAK_STEADY = "Steady: {drift:+.2f} °C in ten minutes, steps of {jump:.2f} °C."
