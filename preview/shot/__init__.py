"""What a shot is made of: camera, lens, light mood and schedule."""
