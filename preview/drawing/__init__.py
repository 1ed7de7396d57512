"""What is drawn, and how: the scene, its colours and lettering, and the engines."""
