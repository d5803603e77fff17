"""The recorded voice: captions read, matched to the script, and times taken from them."""
