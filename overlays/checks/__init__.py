"""Safe area, contrast, colour vision, flashing, levels, decode-back."""
