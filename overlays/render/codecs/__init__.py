"""One file a codec, and what ProRes needs: planes, slices and the layout of its frames."""
