"""What was measured, as values: dataclasses, frames with checked columns, entries as people write them."""
