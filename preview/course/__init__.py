"""The building course: every step of the guide as motion, and the proof that paper gets through."""
