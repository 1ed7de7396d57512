"""Single pictures: stills, stage strips, thumbnails and the pictures of a notebook."""
