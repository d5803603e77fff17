"""Camera files: opened safely, heard and seen by their time stamps; where a run lies in them."""
